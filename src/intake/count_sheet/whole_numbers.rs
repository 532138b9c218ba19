//! Counts of dents read from their cells: a region has forty million of them.
//!
//! How many digits there are is as good as random, so that nothing branches on it.

/// From where a cell begins to where it ends.
pub type Span = (usize, usize);

/// A count of up to four digits or nothing, in a cell of a text; none for all else.
#[inline]
pub fn whole_number(text: &[u8], cell: Span) -> Option<u32> {
    let [number, _] = numbers(u64::from(digits(text, cell)?))?;
    Some(number)
}

/// The counts of two cells in one go.
#[inline]
pub fn two_whole_numbers(text: &[u8], one: Span, other: Span) -> Option<[u32; 2]> {
    let (one, other) = (digits(text, one)?, digits(text, other)?);
    numbers(u64::from(one) | u64::from(other) << 32)
}

/// The digits of a cell by their values, the last one uppermost; what is no digit
/// is above nine. None where there are more than four.
#[inline]
fn digits(text: &[u8], (at, end): Span) -> Option<u32> {
    let length = end - at;
    if length > 4 {
        return None;
    }
    let window = text.get(at..at + 4).and_then(|window| window.first_chunk());
    let window = match window {
        Some(window) => *window,
        None => short_window(&text[at..end]),
    };
    // What stands behind the cell falls out, and what comes in below is no digit
    // but 0.
    Some((u64::from(u32::from_le_bytes(window) ^ 0x3030_3030) << (32 - 8 * length)) as u32)
}

/// Of a cell behind which the text ends.
#[cold]
fn short_window(cell: &[u8]) -> [u8; 4] {
    let mut window = [0; 4];
    window[..cell.len()].copy_from_slice(cell);
    window
}

/// The numbers of two times four digits side by side.
#[inline]
fn numbers(values: u64) -> Option<[u32; 2]> {
    // Where one is above nine, it is no matter what it adds to its neighbours.
    let above_nine = (values.wrapping_add(0x7676_7676_7676_7676) | values) & 0x8080_8080_8080_8080;
    if above_nine != 0 {
        return None;
    }
    // Two digits side by side in one step, and then both pairs.
    let pairs = values * 10 + (values >> 8);
    let (upper, lower) = (pairs & 0xff_0000_00ff, pairs >> 16 & 0xff_0000_00ff);
    let numbers = upper * 100 + lower;
    Some([numbers as u32, (numbers >> 32) as u32])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every count of up to four digits, and every byte in place of a digit, is
    /// read as the standard library reads it, whatever stands beside it.
    #[test]
    fn counts_are_what_the_library_reads() {
        let check = |before: &[u8], cell: &[u8], behind: &[u8]| {
            let text = [before, cell, behind].concat();
            let cell_at = (before.len(), before.len() + cell.len());
            let found = whole_number(&text, cell_at);
            let is_plain = cell.len() <= 4 && cell.iter().all(u8::is_ascii_digit);
            let number = std::str::from_utf8(cell).ok().and_then(|cell| match cell {
                "" => Some(0),
                cell => cell.parse().ok(),
            });
            let expected = number.filter(|_| is_plain);
            assert_eq!(found, expected, "{before:?} {cell:?} {behind:?}");
            // Beside another one, in both places.
            let nine = [&text[..], b";9999"].concat();
            let nine_at = (nine.len() - 4, nine.len());
            let first = two_whole_numbers(&nine, cell_at, nine_at);
            assert_eq!(first, expected.map(|number| [number, 9_999]));
            let second = two_whole_numbers(&nine, nine_at, cell_at);
            assert_eq!(second, expected.map(|number| [9_999, number]));
        };
        for behind in [&b""[..], b";", b";1;22;steel"] {
            for before in [&b""[..], b";", b"7;", b"hood;9999;"] {
                for count in 0..=12_000_u32 {
                    check(before, count.to_string().as_bytes(), behind);
                }
                check(before, b"", behind);
                check(before, b"007", behind);
                for byte in 0..=u8::MAX {
                    check(before, &[byte], behind);
                    check(before, &[b'1', byte], behind);
                    check(before, &[byte, b'9', b'0', b'4'], behind);
                }
            }
        }
    }
}
