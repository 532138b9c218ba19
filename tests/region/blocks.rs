//! A long sheet is read in blocks: nothing hangs on where one ends. A source
//! with blocks of a few bytes gives the same cars and says the same things.

use super::Files;
use super::lots::{Kind, enough, lot};
use super::sheet::{Look, Order, write};
use crate::properties::storms::Dice;
use hailyard::intake::{EntryKind, InMemory, ReadError, Source, read_storm};
use std::borrow::Cow;

/// Files in blocks of so many bytes.
struct Blocks {
    files: InMemory,
    bytes: usize,
}

impl Source for Blocks {
    fn list(&self, folder: &str) -> Result<Vec<(String, EntryKind)>, ReadError> {
        self.files.list(folder)
    }

    fn read(&self, path: &str, limit: u64) -> Result<Cow<'_, [u8]>, ReadError> {
        self.files.read(path, limit)
    }

    fn block_bytes(&self) -> usize {
        self.bytes
    }

    fn has(&self, path: &str) -> bool {
        self.files.has(path)
    }
}

/// All that reading made of the files, as text.
fn read(files: &Files, bytes: usize) -> String {
    let mut source = Blocks {
        files: InMemory::default(),
        bytes,
    };
    for (name, bytes) in files {
        source.files.add(name, bytes.clone());
    }
    let intake = read_storm(&source, None);
    let problems: Vec<String> = intake
        .problems
        .sorted()
        .iter()
        .map(|problem| format!("{:?} {problem}", problem.place))
        .collect();
    format!(
        "{problems:#?}\n{:?}\n{:#?}\n{:?}",
        intake.problems.notes(),
        intake.storm.map(|(storm, _)| storm.cars),
        intake.left_out
    )
}

fn same_in_all(what: &str, files: &Files) {
    let whole = read(files, 1 << 24);
    for bytes in [1, 2, 7, 64, 333, 4_096] {
        let found = read(files, bytes);
        if found == whole {
            continue;
        }
        let (found, whole) = (found.lines(), whole.lines());
        let differs = found.zip(whole).find(|(one, other)| one != other);
        panic!("{what}, blocks of {bytes}: {differs:?}");
    }
}

/// A lot in a look, and its files.
fn files(seed: u64, look: &Look) -> Files {
    let kind = Kind {
        odd: 10,
        ..Kind::plain(seed, 60)
    };
    let rolls = enough(&kind);
    let mut dice = Dice::new(&rolls);
    let made = lot(&kind, &mut dice);
    write(&kind, look, &made, &mut dice).1
}

#[test]
fn sound_sheets_in_every_look() {
    let plain = Look::PLAIN;
    let looks = [
        Look { ..plain.clone() },
        Look {
            delimiter: ';',
            list: None,
            ..plain.clone()
        },
        Look {
            newline: "\r\n",
            quoted: true,
            mark: true,
            ..plain.clone()
        },
        Look {
            rows: Order::Shuffled,
            needless: true,
            loose: true,
            ..plain.clone()
        },
        Look {
            one_size: true,
            blank_stock: true,
            list: None,
            ..plain
        },
    ];
    for (seed, look) in (300..).zip(looks) {
        same_in_all(&format!("look {seed}"), &files(seed, &look));
    }
}

/// A storm of two size classes with this sheet.
fn edges(sheet: &str) -> Files {
    let storm = "name = \"Edges\"\ncurrency = \"USD\"\nunit = \"mm\"\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/c.toml\"\n";
    let card = "name = \"Card\"\nremoval_rate = \"58.00\"\n[[size]]\nname = \"dime\"\nupto_mm = \"17.91\"\n[[size]]\nname = \"nickel\"\nupto_mm = \"21.21\"\n[[grid]]\nbands = [\"1-9\", \"10+\"]\ndime = [\"52.00\", \"60.50\"]\nnickel = [\"58.00\", \"69.00\"]\n";
    let files = [
        ("storm.toml", storm),
        ("rates/c.toml", card),
        ("counts/m.csv", sheet),
    ];
    files
        .map(|(name, text)| (name.to_owned(), text.as_bytes().to_vec()))
        .to_vec()
}

/// Line ends of every kind, blank rows, comments, quotes that hold line ends,
/// and rows at fault: rows keep their numbers.
#[test]
fn odd_rows_at_the_edges_of_blocks() {
    let rows = [
        "A1,hood,3,34,steel,\n",
        "\n",
        "# a remark\n",
        "A1,roof,6,0,,\"two\nlines\"\n",
        "A2,roof,1,2,alu,\r\n",
        "\r\n",
        ",,,,,\n",
        "A3,hood,1,x,,\n",
        "A2,roof,1,2,,\n",
        "\"A4\",\"hood\",\"1\",\"\",\"\",\"say \"\"so\"\"\"\n",
        "A5,door,1,2,,\n",
        "A5,hood,1,2,,,\n",
        "A6,hood,1,2,,,late\n",
        "A7,hood,1,2,,\rA8,hood,4,,,\r",
        "\r",
        "A9,hood,,,,a \"word\" in quotes\n",
        "Ä1,hood,5,,,\n",
        "total,hood,5,,,\n",
        "A1,sunroof,00012,,,\n",
        "A1,cowl, 12 ,,,\n",
    ];
    // Every row comes to stand beside every other one.
    for turn in 0..rows.len() {
        let mut sheet = String::from("counted on Monday,,\nstock,panel,dime,nickel,metal,note\n");
        for at in 0..rows.len() {
            sheet.push_str(rows[(at * 7 + turn) % rows.len()]);
        }
        let files = edges(&sheet);
        same_in_all(&format!("turn {turn}"), &files);
        // The same in another encoding than UTF-8.
        let mut latin = files.clone();
        let sheet = sheet.chars().map(|sign| match u32::from(sign) {
            code @ 0..=255 => u8::try_from(code).expect("a byte"),
            _ => b'?',
        });
        latin[2].1 = sheet.collect();
        same_in_all(&format!("turn {turn}, another encoding"), &latin);
    }
}

/// Words side by side are read in one go where they were met before: short and
/// long ones, loose ones, unknown ones, beside cells that are mostly blank, in
/// rows that end early. A row with a cell more than the header is read cell by
/// cell, and nothing else may come of it.
#[test]
fn words_side_by_side_are_told_apart() {
    let header = "dime,panel,metal,access,weather,paint,nickel,size unknown,note,stock\n";
    let panels = ["hood", "Roof", "bonnet", "door-fl ", "wyng", ""];
    let metals = [
        "",
        "steel",
        "alu",
        "aluminium",
        "high-strength",
        " hss",
        "tin",
    ];
    let accesses = ["", "open", "glue", "braced", "glu"];
    let weathers = ["", "dry", "7 C", "dry "];
    let (paints, notes) = (["", "repainted", "rust"], ["", "x", "by hand"]);
    let mut sheets = [String::from(header), String::from(header)];
    let mut add = |cells: &[&str], row: u32| {
        for (sheet, more) in sheets.iter_mut().zip(["", ",,,,,,,,,,"]) {
            let stock = format!("A{}", row / 2);
            let last = if cells.len() < 9 { "" } else { &stock };
            sheet.push_str(&[cells.join(",").as_str(), last].join(","));
            sheet.push_str(more);
            sheet.push('\n');
        }
    };
    let mut row = 0;
    for (at, panel) in panels.iter().enumerate() {
        for metal in metals {
            for access in accesses {
                for weather in weathers {
                    let paint = paints[(row % 11).min(2) as usize];
                    let note = notes[(row % 7).min(2) as usize];
                    let dents = ["3", "", "12", "9999", "0"][(row % 5) as usize];
                    let panel = if row % 2 == 0 {
                        panel
                    } else {
                        panels[(at + 1) % 2]
                    };
                    let cells = [dents, panel, metal, access, weather, paint, "1", "", note];
                    add(&cells, row);
                    row += 1;
                    if row % 40 == 0 {
                        add(&cells[..(row / 40 % 9) as usize], row);
                    }
                }
            }
        }
    }
    let [plain, longer] = sheets.map(|sheet| edges(&sheet));
    let (plain_read, longer_read) = (read(&plain, 1 << 20), read(&longer, 1 << 20));
    let mut lines = plain_read.lines().zip(longer_read.lines());
    assert_eq!(lines.find(|(plain, longer)| plain != longer), None);
    assert_eq!(plain_read.len(), longer_read.len());
    assert!(plain_read.contains("tin") && plain_read.contains("HighStrength"));
    same_in_all("words", &plain);
}

/// Cars of many rows whose ends are returns alone, or mostly: old spreadsheets
/// write them so. Each row is looked through once, not to the end of the text.
#[test]
fn long_sheets_of_returns_read_like_others() {
    let header = "stock,panel,dime,nickel,metal,note\n";
    let panels = ["hood", "roof", "cowl", "door-fl", "door-fr"];
    let rows: Vec<String> = (0..50_000)
        .map(|row| format!("A{},{},{},2,,\n", row / 5, panels[row % 5], row % 9))
        .collect();
    let half = rows[..25_000].concat();
    let rows = rows.concat();
    let returns = rows.replace('\n', "\r");
    let quoted = "\"A10000\",\"hood\",1,2,,\"at the end\"\n";
    let default = 1 << 18;
    for end in ["", quoted] {
        let whole = read(&edges(&format!("{header}{rows}{end}")), default);
        assert!(whole.contains("A9999"), "{}", &whole[..999]);
        for sheet in [
            format!("{}{returns}{end}", header.replace('\n', "\r")),
            format!("{header}{returns}{end}"),
            format!("{}{returns}{end}", header.replace('\n', "\r\n")),
            format!("{header}{half}{}{end}", &returns[half.len()..]),
        ] {
            assert!(read(&edges(&sheet), default) == whole);
        }
    }
}
