//! Sheets mangled at random: whatever is said of them, both ways say the same.

use super::Files;
use super::both::both;
use super::lots::{Kind, enough, lot, rolls};
use super::said::{by_check, by_library, in_memory};
use super::sheet::{Look, write};
use crate::properties::storms::Dice;
use hailyard::cli::Exit;

/// What is put in the place of bytes.
const PIECES: [&[u8]; 16] = [
    b"\"",
    b"\"\"",
    b",",
    b";",
    b"\n",
    b"\r",
    b"\r\n",
    b"#",
    b"# ",
    b"\t",
    b" ",
    b"",
    b"x",
    b"0",
    b"\xe9",
    b"\xc3\xa9",
];

/// A few places of the counts changed, often at the edge of a cell or row.
fn mangle(files: &Files, dice: &mut Dice<'_>) -> Files {
    let mut files = files.clone();
    let counts = files.iter_mut().find(|(name, _)| name == "counts/m.csv");
    let bytes = &mut counts.expect("a sheet").1;
    for _ in 0..=dice.below(2) {
        let length = u32::try_from(bytes.len()).expect("a small sheet");
        let mut at = dice.below(length) as usize;
        if !dice.once_in(3) {
            let edge = |byte: &u8| b",\n".contains(byte);
            at = bytes[..at]
                .iter()
                .rposition(edge)
                .map_or(0, |edge| edge + 1);
        }
        let end = (at + dice.below(3) as usize).min(bytes.len());
        bytes.splice(at..end, dice.pick(&PIECES).iter().copied());
    }
    files
}

#[test]
fn mangled_sheets_say_the_same_in_both_ways() {
    let mut ends = [0, 0];
    for seed in 220..250 {
        let kind = Kind {
            odd: 20,
            hard_stocks: seed % 3 == 0,
            ..Kind::plain(seed, 40)
        };
        let look = Look {
            needless: seed % 2 == 0,
            list: Look::PLAIN.list.filter(|_| seed % 4 < 2),
            quoted: seed % 5 == 0,
            ..Look::PLAIN
        };
        let made_with = enough(&kind);
        let mut dice = Dice::new(&made_with);
        let made = lot(&kind, &mut dice);
        let (_, files) = write(&kind, &look, &made, &mut dice);
        let mangled_with = rolls(seed, 100);
        let files = mangle(&files, &mut Dice::new(&mangled_with));
        assert_eq!(by_library(&in_memory(&files)), by_check(&files));
        let found = both(&files, &[]);
        ends[usize::from(found.ran.exit == Exit::Done)] += 1;
        if found.ran.exit == Exit::Problems {
            both(&files, &["--without-bad"]);
        }
    }
    // Some are sound all the same, some are not.
    assert!(ends[0] >= 8 && ends[1] >= 4, "{ends:?}");
}
