//! A long delimited text in blocks that end where a record ends.

use super::csv_text::{
    DELIMITERS, HEADER_WITHIN, Records, after_line_end, check_magic, check_text, find_delimiter,
};
use super::source::{ReadError, Source};
use super::table::Unreadable;
use memchr::{memchr, memrchr2};
use std::io::Read;
use std::sync::{Arc, Mutex, PoisonError};

/// Bytes of one text table: the whole of a region's counts, not more.
pub const MAX_TEXT: u64 = 4 << 30;

/// The blocks of a text file.
pub struct TextBlocks<'a> {
    source: &'a dyn Source,
    decoder: Arc<Decoder<'a>>,
    file: Box<dyn Read + Send + 'a>,
    /// Read already, and not handed out yet.
    carry: Vec<u8>,
    at_end: bool,
    ends: RecordEnds,
    /// What the text is delimited by.
    pub delimiter: u8,
}

/// Makes text of blocks, each on any thread.
pub struct Decoder<'a> {
    source: &'a dyn Source,
    path: &'a str,
    encoding: Mutex<Encoding>,
}

/// What the bytes are, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Encoding {
    /// ASCII so far, which every encoding shares.
    Open,
    Utf8,
    Windows1252,
}

/// How a text begins.
pub enum Opened<'a> {
    /// In a shape that is read in blocks; with its first block.
    Blocks(Box<TextBlocks<'a>>, String),
    /// In UTF-16, which is read as a whole.
    Wide,
}

impl<'a> TextBlocks<'a> {
    /// Opens a file and finds its delimiter. `is_header` says whether a row's
    /// cells are the header.
    ///
    /// # Errors
    /// When it can't be read or is no text.
    pub fn open(
        source: &'a dyn Source,
        path: &'a str,
        is_header: &dyn Fn(&[&str]) -> bool,
    ) -> Result<Opened<'a>, Unreadable> {
        let file = source.open(path, MAX_TEXT).map_err(refused)?;
        let mut blocks = TextBlocks {
            source,
            decoder: Arc::new(Decoder {
                source,
                path,
                encoding: Mutex::new(Encoding::Open),
            }),
            file,
            carry: Vec::new(),
            at_end: false,
            ends: RecordEnds::new(b','),
            delimiter: b',',
        };
        blocks.fill(0)?;
        if blocks.carry.is_empty() {
            return Err(Unreadable {
                row: None,
                found: "an empty file".to_owned(),
                expected: "a table".to_owned(),
            });
        }
        check_magic(&blocks.carry)?;
        match encoding_rs::Encoding::for_bom(&blocks.carry) {
            Some((encoding, _)) if encoding != encoding_rs::UTF_8 => return Ok(Opened::Wide),
            Some((_, mark)) => drop(blocks.carry.drain(..mark)),
            None => {}
        }
        // The header is looked for in the first rows, so all of them must be there.
        while !blocks.at_end && !blocks.holds_first_rows() {
            blocks.fill(blocks.carry.len())?;
        }
        let head = blocks.first_rows();
        blocks.delimiter = find_delimiter(&head, is_header);
        blocks.ends = RecordEnds::new(blocks.delimiter);
        let first = blocks.next()?.unwrap_or_default();
        Ok(Opened::Blocks(Box::new(blocks), first))
    }

    /// The encoding that was taken instead of UTF-8, to be said once.
    #[must_use]
    pub fn other_encoding(&self) -> Option<&'static str> {
        (self.decoder.known() == Encoding::Windows1252).then_some("Windows-1252")
    }

    /// What makes text of its blocks.
    #[must_use]
    pub fn decoder(&self) -> Arc<Decoder<'a>> {
        self.decoder.clone()
    }

    /// The next block: whole records, at least one.
    ///
    /// # Errors
    /// When the file can't be read on, or is no text.
    pub fn next(&mut self) -> Result<Option<String>, Unreadable> {
        let block = self.next_bytes(Vec::new())?;
        block.map(|block| self.decoder.text(block)).transpose()
    }

    /// The bytes of the next block. The memory of `spent`, a block that is no longer
    /// needed, serves another one.
    ///
    /// # Errors
    /// When the file can't be read on.
    pub fn next_bytes(&mut self, spent: Vec<u8>) -> Result<Option<Vec<u8>>, Unreadable> {
        loop {
            let cut = self.ends.last_in(&self.carry, self.at_end);
            if cut > 0 {
                let mut rest = spent;
                rest.clear();
                rest.extend_from_slice(&self.carry[cut..]);
                self.carry.truncate(cut);
                return Ok(Some(std::mem::replace(&mut self.carry, rest)));
            }
            if self.at_end {
                return Ok(None);
            }
            self.fill(self.carry.len())?;
        }
    }

    /// Reads on behind what is carried, at least as much again.
    fn fill(&mut self, carried: usize) -> Result<(), Unreadable> {
        // A mark or a magic number takes a few bytes, however small a block is.
        let more = carried.max(self.source.block_bytes()).max(16);
        self.carry.reserve(more);
        let mut file = self.file.by_ref().take(more as u64);
        let read = file.read_to_end(&mut self.carry);
        self.at_end = read.map_err(|error| refused(error.into()))? < more;
        Ok(())
    }

    /// What is there, for a look at its first rows only.
    fn first_rows(&self) -> String {
        String::from_utf8_lossy(&self.carry).into_owned()
    }

    fn holds_first_rows(&self) -> bool {
        let head = self.first_rows();
        DELIMITERS.into_iter().all(|delimiter| {
            let mut records = Records::new(&head, delimiter, 0);
            while records.number() <= HEADER_WITHIN + 1 {
                match records.next() {
                    Ok(Some(_)) => {}
                    // A quote that is open may be closed by what follows.
                    Ok(None) | Err(_) => return false,
                }
            }
            true
        })
    }
}

impl Decoder<'_> {
    fn known(&self) -> Encoding {
        *self.encoding.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The text of a block.
    ///
    /// # Errors
    /// When it is no text.
    pub fn text(&self, block: Vec<u8>) -> Result<String, Unreadable> {
        String::from_utf8(self.utf8(block)?).map_err(|_| changed())
    }

    /// The text of a block as bytes of UTF-8, which plain ASCII is as it stands.
    ///
    /// # Errors
    /// When it is no text.
    pub fn utf8(&self, block: Vec<u8>) -> Result<Vec<u8>, Unreadable> {
        check_text(&block)?;
        if block.is_ascii() {
            return Ok(block);
        }
        if self.encoding()? == Encoding::Windows1252 {
            let (text, _) = encoding_rs::WINDOWS_1252.decode_without_bom_handling(&block);
            return Ok(text.into_owned().into_bytes());
        }
        std::str::from_utf8(&block).map_err(|_| changed())?;
        Ok(block)
    }

    /// What the file is, since it is not plain ASCII: looked for once, while other
    /// blocks of that kind wait.
    fn encoding(&self) -> Result<Encoding, Unreadable> {
        let mut encoding = self.encoding.lock().unwrap_or_else(PoisonError::into_inner);
        if *encoding == Encoding::Open {
            *encoding = self.whole_encoding()?;
        }
        Ok(*encoding)
    }

    /// Whether the whole file is UTF-8: what is not is Windows-1252, from its
    /// first byte on. It takes a second look at the file, but only at one that
    /// is not plain ASCII.
    fn whole_encoding(&self) -> Result<Encoding, Unreadable> {
        let mut file = self.source.open(self.path, MAX_TEXT).map_err(refused)?;
        let mut buffer = vec![0; self.source.block_bytes().max(4)];
        let mut kept = 0;
        loop {
            let read = match file.read(&mut buffer[kept..]) {
                Ok(read) => read,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(refused(error.into())),
            };
            let held = kept + read;
            let valid = match std::str::from_utf8(&buffer[..held]) {
                Ok(_) => held,
                // A sign may go on in what is read next.
                Err(error) if error.error_len().is_none() && read > 0 => error.valid_up_to(),
                Err(_) => return Ok(Encoding::Windows1252),
            };
            if read == 0 {
                return Ok(Encoding::Utf8);
            }
            buffer.copy_within(valid..held, 0);
            kept = held - valid;
        }
    }
}

/// It was UTF-8 when it was looked through.
fn changed() -> Unreadable {
    Unreadable {
        row: None,
        found: "bytes that changed while they were read".to_owned(),
        expected: "a file that stays as it is".to_owned(),
    }
}

fn refused(error: ReadError) -> Unreadable {
    Unreadable {
        row: None,
        found: error.to_string(),
        expected: match error {
            ReadError::TooLarge(limit) => format!("at most {} MiB", limit >> 20),
            _ => "a file that can be read".to_owned(),
        },
    }
}

/// Finds where records end. A line without a quote is a record; others are
/// left to the rules of the csv library, for a quoted cell may hold line ends.
pub struct RecordEnds {
    reader: csv_core::Reader,
    cells: [u8; 512],
    ends: [usize; 64],
}

impl RecordEnds {
    /// For text with this delimiter.
    #[must_use]
    pub fn new(delimiter: u8) -> RecordEnds {
        RecordEnds {
            reader: csv_core::ReaderBuilder::new().delimiter(delimiter).build(),
            cells: [0; 512],
            ends: [0; 64],
        }
    }

    /// The end of the record that begins at `start`, its line end included;
    /// none where the text ends before it.
    pub fn of(&mut self, text: &[u8], start: usize) -> Option<usize> {
        self.reader.reset();
        let mut at = start;
        loop {
            let rest = &text[at..];
            let (result, read, _, _) =
                self.reader
                    .read_record(rest, &mut self.cells, &mut self.ends);
            at += read;
            match result {
                csv_core::ReadRecordResult::OutputFull
                | csv_core::ReadRecordResult::OutputEndsFull => {}
                csv_core::ReadRecordResult::Record => return Some(after_line_end(text, at)),
                csv_core::ReadRecordResult::InputEmpty | csv_core::ReadRecordResult::End => {
                    return None;
                }
            }
        }
    }

    /// The end of the last whole record; all of the text where it is the last.
    fn last_in(&mut self, text: &[u8], is_last: bool) -> usize {
        if is_last {
            return text.len();
        }
        // A carriage return may be half a line end, which goes on in the next block.
        let text = text.strip_suffix(b"\r").unwrap_or(text);
        // Where no quote stands, every line end is a record's.
        let line_after = |from: usize, to: usize| {
            memrchr2(b'\n', b'\r', &text[from..to]).map_or(from, |line| from + line + 1)
        };
        let mut after = 0;
        while let Some(quote) = memchr(b'"', &text[after..]) {
            let start = line_after(after, after + quote);
            match self.of(text, start) {
                Some(end) => after = end,
                None => return start,
            }
        }
        line_after(after, text.len())
    }
}

#[cfg(test)]
mod tests {
    use super::super::source::InMemory;
    use super::*;

    /// Blocks hold whole records, are all of the text, and none is much longer
    /// than what is read in one go, whatever ends a line.
    #[test]
    fn blocks_stay_small() {
        let rows = "A1,hood,3\nA2,roof,4\n\nA3,\"a\nb\",5\n".repeat(50_000);
        let block_bytes = InMemory::default().block_bytes();
        for line_end in ["\n", "\r", "\r\n", "\n\r"] {
            let mut source = InMemory::default();
            let text = rows.replace('\n', line_end);
            source.add("m.csv", text.clone().into_bytes());
            let Ok(Opened::Blocks(mut blocks, first)) =
                TextBlocks::open(&source, "m.csv", &|_| false)
            else {
                panic!("no blocks");
            };
            let mut all = first;
            while let Some(block) = blocks.next().expect("a block") {
                assert!(block.len() < block_bytes + 64, "{}", block.len());
                let begin = all.len();
                all.push_str(&block);
                // Never within quotes, nor between two halves of a line end.
                assert_eq!(all[..begin].matches('"').count() % 2, 0);
                assert!(all[..begin].ends_with(['\n', '\r']));
                assert!(!all[begin - 1..].starts_with("\r\n"));
            }
            assert_eq!(all, text);
        }
    }
}
