//! The segments of a JPEG file, from its start mark to its end mark.

/// How a file ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// With its end mark; more may follow it, as cameras append films.
    Whole,
    /// Before its end mark.
    CutShort,
    /// In a mark that can't stand where it does.
    Broken,
}

/// Walks the segments by their lengths and the scans by their marks
/// (ISO/IEC 10918-1, annex B). Small pictures within a segment have marks of
/// their own, which the lengths pass over. The bytes must begin with the start mark.
pub fn end(bytes: &[u8]) -> End {
    let mut at = 2;
    let mut scanned = false;
    loop {
        // Between segments decoders pass over anything up to the next mark.
        let Some(marker) = next_marker(bytes, &mut at) else {
            return End::CutShort;
        };
        match marker {
            0xd9 if scanned => return End::Whole,
            0xd9 => return End::Broken,
            // TEM and restart marks stand alone; so would another start mark.
            0x01 | 0xd0..=0xd8 if !scanned => continue,
            // After a scan: tables, comments, other scans, the number of lines.
            // Anything else means that the scan's own bytes are damaged.
            0xc4 | 0xda..=0xdd | 0xe0..=0xef | 0xfe => {}
            _ if scanned => return End::Broken,
            _ => {}
        }
        let Some(length) = bytes.get(at..at + 2) else {
            return End::CutShort;
        };
        let length = usize::from(length[0]) << 8 | usize::from(length[1]);
        if length < 2 {
            return End::Broken;
        }
        at += length;
        if at > bytes.len() {
            return End::CutShort;
        }
        scanned |= marker == 0xda;
    }
}

/// The next mark, and the place behind it. In a scan's bytes a stuffed
/// `ff 00` and restart marks are no end of it.
fn next_marker(bytes: &[u8], at: &mut usize) -> Option<u8> {
    loop {
        let to_mark = bytes.get(*at..)?.iter().position(|byte| *byte == 0xff)?;
        *at += to_mark + 1;
        // Any number of fill bytes may stand before a mark.
        while *bytes.get(*at)? == 0xff {
            *at += 1;
        }
        let marker = *bytes.get(*at)?;
        *at += 1;
        if !matches!(marker, 0x00 | 0xd0..=0xd7) {
            return Some(marker);
        }
    }
}
