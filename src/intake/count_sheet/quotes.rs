//! Quotes that say nothing: programs that put every cell into quotes write most
//! of them without need.

use super::super::text_blocks::RecordEnds;
use memchr::memchr;

/// The text from a row on without the quotes of cells that are the same cells
/// without them; rows keep their number. What stands above the row goes.
/// None where no quote stands there.
///
/// A cell keeps its quotes where a delimiter, a line end or a quote stands in it,
/// where it might become a remark, and where a row would become an empty line.
pub fn without_needless(
    bytes: &[u8],
    from: usize,
    delimiter: u8,
    ends: &mut RecordEnds,
) -> Option<Vec<u8>> {
    let ends_cell = |byte: u8| byte == delimiter || byte == b'\n' || byte == b'\r';
    let mut next = from + memchr(b'"', &bytes[from..])?;
    let mut kept = Vec::with_capacity(bytes.len() - from);
    let mut copied = from;
    loop {
        let before = (next > from).then(|| bytes[next - 1]);
        let begins_row = before.is_none_or(|byte| byte != delimiter);
        if before.is_some_and(|byte| !ends_cell(byte)) {
            // Within a cell a quote is a sign like others.
            next += 1;
        } else {
            let inside = &bytes[next + 1..];
            let length = inside
                .iter()
                .position(|&byte| byte == b'"' || ends_cell(byte));
            let cell = &inside[..length.unwrap_or(inside.len())];
            let behind = inside.get(cell.len() + 1);
            let is_closed = inside.get(cell.len()) == Some(&b'"');
            let says_nothing = is_closed
                && behind.is_none_or(|&byte| ends_cell(byte))
                && cell.first() != Some(&b'#')
                && !(begins_row && cell.is_empty() && behind != Some(&delimiter));
            if says_nothing {
                let end = next + 1 + cell.len();
                kept.extend_from_slice(&bytes[copied..next]);
                kept.extend_from_slice(&bytes[next + 1..end]);
                copied = end + 1;
                next = copied;
            } else {
                // The cell may go on beyond line ends, and its row with it.
                next = ends.of(bytes, next).unwrap_or(bytes.len());
            }
        }
        match memchr(b'"', &bytes[next..]) {
            Some(length) => next += length,
            None => break,
        }
    }
    kept.extend_from_slice(&bytes[copied..]);
    Some(kept)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The records of a text as the csv library reads them, with empty lines told
    /// from rows of one empty cell.
    fn records(text: &str) -> Vec<Vec<String>> {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        let records = reader.records().map(|record| record.expect("a record"));
        let cells = |record: csv::StringRecord| record.iter().map(str::to_owned).collect();
        records.map(cells).collect()
    }

    fn without(text: &str) -> String {
        let kept = without_needless(text.as_bytes(), 0, b',', &mut RecordEnds::new(b','));
        kept.map_or(text.to_owned(), |kept| {
            String::from_utf8(kept).expect("UTF-8")
        })
    }

    #[test]
    fn needless_quotes_go() {
        for (text, kept) in [
            ("\"a\",\"b c\"\n\"d\",\"\"\n", "a,b c\nd,\n"),
            ("\"a\",1,\"\"\r\n\"ö\"", "a,1,\r\nö"),
            ("a,b\n", "a,b\n"),
            ("5\",\"6\"\n", "5\",6\n"),
            // Each of these means something.
            ("\"a,b\",\"c\"\n\"d\"", "\"a,b\",\"c\"\nd"),
            ("\"a\nb\",\"c\"\n", "\"a\nb\",\"c\"\n"),
            ("\"a\"\"b\",\"c\"\n", "\"a\"\"b\",\"c\"\n"),
            ("\"# a\",\"b\"\n", "\"# a\",\"b\"\n"),
            ("\"\"\n\"\",\"a\"\n", "\"\"\n,a\n"),
            // No end: the quote takes all that follows.
            ("\"a\",\"b\n\"c\"", "a,\"b\n\"c\""),
            ("\"a\"b,\"c\"\n\"d\"\n", "\"a\"b,\"c\"\nd\n"),
        ] {
            assert_eq!(without(text), kept);
        }
        // What stands above the row is left out.
        let mut ends = RecordEnds::new(b';');
        let rest = without_needless(b"\"head\"\n\"a\";b", 7, b';', &mut ends);
        assert_eq!(rest.as_deref(), Some(&b"a;b"[..]));
        assert_eq!(without_needless(b"\"head\"\na;b", 7, b';', &mut ends), None);
    }

    proptest::proptest! {
        /// In texts of hardly anything but quotes, delimiters and line ends, too,
        /// every record stays what the csv library reads.
        #[test]
        fn records_stay_the_same(text in "[\",,\n\ra#ö\"]{0,60}") {
            let kept = without(&text);
            proptest::prop_assert_eq!(records(&kept), records(&text));
            let lines = |text: &str| text.matches(['\n', '\r']).count();
            proptest::prop_assert_eq!(lines(&kept), lines(&text));
        }
    }
}
