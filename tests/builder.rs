//! A storm's folder made by a test, a run of one command, and all that came out.

use hailyard::cli::{Exit, Streams, run};
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// Folder of the data that tests read.
pub fn data(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(path)
}

/// A folder in the making.
pub struct Folder {
    dir: TempDir,
}

impl Folder {
    /// An empty one.
    pub fn new() -> Folder {
        Folder {
            dir: TempDir::new().expect("a temporary folder"),
        }
    }

    /// Adds a file.
    pub fn file(self, path: &str, bytes: impl AsRef<[u8]>) -> Folder {
        let target = self.path().join(path);
        std::fs::create_dir_all(target.parent().expect("a parent")).expect("a folder");
        std::fs::write(target, bytes).expect("a file");
        self
    }

    /// A copy of a storm's folder that a test may change; `agreed.csv` only on request.
    pub fn copy_of(from: &Path, with_agreed: bool) -> Folder {
        let mut folder = Folder::new();
        let mut names = vec!["storm.toml", "vehicles.csv"];
        names.extend(with_agreed.then_some("agreed.csv"));
        for name in names {
            if let Ok(bytes) = std::fs::read(from.join(name)) {
                folder = folder.file(name, bytes);
            }
        }
        for inner in ["rates", "counts"] {
            for entry in std::fs::read_dir(from.join(inner)).expect("a folder") {
                let path = entry.expect("an entry").path();
                let name = path
                    .file_name()
                    .and_then(|name| name.to_str())
                    .expect("a name");
                let bytes = std::fs::read(&path).expect("a file");
                folder = folder.file(&format!("{inner}/{name}"), bytes);
            }
        }
        folder
    }

    /// Its path.
    pub fn path(&self) -> &Path {
        self.dir.path()
    }

    /// Its path as an argument.
    pub fn arg(&self) -> String {
        self.path().to_str().expect("a path in UTF-8").to_owned()
    }
}

/// All that a run gave.
pub struct Ran {
    pub out: String,
    pub err: String,
    pub exit: Exit,
}

/// Runs a command in this process.
pub fn hailyard(args: &[&str]) -> Ran {
    hailyard_wide(120, args)
}

/// The same in a window of so many columns.
pub fn hailyard_wide(width: usize, args: &[&str]) -> Ran {
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let mut streams = Streams {
        out: &mut out,
        err: &mut err,
        width,
        progress: false,
        bold: false,
    };
    let arguments = std::iter::once("hailyard").chain(args.iter().copied());
    let exit = run(arguments.map(OsString::from), &mut streams);
    Ran {
        out: String::from_utf8(out).expect("standard output in UTF-8"),
        err: String::from_utf8(err).expect("standard error in UTF-8"),
        exit,
    }
}

/// The tables that `price --out` wrote, by file name, as rows of cells.
pub struct Tables(BTreeMap<String, Vec<Vec<String>>>);

impl Tables {
    /// Prices a folder, which must go well, and reads what was written.
    #[track_caller]
    pub fn of(folder: &Path) -> Tables {
        let out = TempDir::new().expect("a temporary folder");
        let ran = hailyard(&[
            "price",
            folder.to_str().expect("a path in UTF-8"),
            "--out",
            out.path().to_str().expect("a path in UTF-8"),
        ]);
        assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
        let tables = ["lines", "cars", "totals"].map(|name| {
            let rows = read_csv(&out.path().join(format!("{name}.csv")));
            (name.to_owned(), rows)
        });
        Tables(tables.into_iter().collect())
    }

    /// All rows, header first.
    pub fn rows(&self, table: &str) -> &[Vec<String>] {
        &self.0[table]
    }

    /// The lines of a car as `panel|group|item|quantity|amount`.
    pub fn lines(&self, stock: &str) -> Vec<String> {
        self.0["lines"][1..]
            .iter()
            .filter(|row| row[0] == stock)
            .map(|row| row[1..6].join("|"))
            .collect()
    }

    /// One cell of a car's row.
    #[track_caller]
    pub fn car(&self, stock: &str, column: &str) -> &str {
        self.cell("cars", |row| row[0] == stock, column)
    }

    /// One cell of a totals row.
    #[track_caller]
    pub fn total(&self, by: &str, key: &str, column: &str) -> &str {
        self.cell("totals", |row| row[0] == by && row[1] == key, column)
    }

    #[track_caller]
    fn cell(&self, table: &str, wanted: impl Fn(&[String]) -> bool, column: &str) -> &str {
        let rows = &self.0[table];
        let at = rows[0]
            .iter()
            .position(|name| name == column)
            .unwrap_or_else(|| panic!("a column {column}"));
        let row = rows[1..]
            .iter()
            .find(|row| wanted(row))
            .unwrap_or_else(|| panic!("a row in {table}"));
        &row[at]
    }
}

/// A CSV file as rows of cells.
pub fn read_csv(path: &Path) -> Vec<Vec<String>> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .from_path(path)
        .expect("a CSV file")
        .records()
        .map(|record| record.expect("a row").iter().map(str::to_owned).collect())
        .collect()
}

/// A small storm: one payer on one card, both from the text given, and one
/// count sheet. Most tests of a rule need no more.
pub struct OneCar {
    pub card: String,
    pub terms: String,
    pub currency: &'static str,
    pub vehicles: Option<String>,
    pub counts: String,
    pub agreed: Option<String>,
}

impl OneCar {
    /// The worked example of the design on this count: dime to 17.91,
    /// nickel 21.21, quarter 24.26, half-dollar 30.61, three bands.
    pub fn new(counts: &str) -> OneCar {
        OneCar {
            card: SMALL_CARD.to_owned(),
            terms: String::new(),
            currency: "USD",
            vehicles: None,
            counts: counts.to_owned(),
            agreed: None,
        }
    }

    /// Adds to the end of the card.
    pub fn card(mut self, more: &str) -> OneCar {
        self.card.push('\n');
        self.card.push_str(more);
        self
    }

    /// Replaces a text in the card, which must be there.
    #[track_caller]
    pub fn card_with(mut self, from: &str, to: &str) -> OneCar {
        assert!(self.card.contains(from), "`{from}` in the card");
        self.card = self.card.replacen(from, to, 1);
        self
    }

    /// Adds to the payer's terms.
    pub fn terms(mut self, more: &str) -> OneCar {
        self.terms.push_str(more);
        self.terms.push('\n');
        self
    }

    /// Sets the vehicle list.
    pub fn vehicles(mut self, list: &str) -> OneCar {
        self.vehicles = Some(list.to_owned());
        self
    }

    /// Sets the agreed amounts.
    pub fn agreed(mut self, list: &str) -> OneCar {
        self.agreed = Some(list.to_owned());
        self
    }

    /// Sets the currency.
    pub fn currency(mut self, code: &'static str) -> OneCar {
        self.currency = code;
        self
    }

    /// The storm's folder.
    pub fn folder(&self) -> Folder {
        let storm = format!(
            "name = \"Small storm\"\ndate = 2026-06-14\ncurrency = \"{}\"\nunit = \"mm\"\n\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/card.toml\"\n{}",
            self.currency, self.terms
        );
        let mut folder = Folder::new()
            .file("storm.toml", storm)
            .file("rates/card.toml", &self.card)
            .file("counts/lot.csv", &self.counts);
        if let Some(list) = &self.vehicles {
            folder = folder.file("vehicles.csv", list);
        }
        if let Some(list) = &self.agreed {
            folder = folder.file("agreed.csv", list);
        }
        folder
    }

    /// Prices it, which must go well.
    #[track_caller]
    pub fn price(&self) -> Tables {
        Tables::of(self.folder().path())
    }
}

/// Four coin classes, three bands with amounts that tell where they stand.
pub const SMALL_CARD: &str = r#"name = "Small card"
rounding = "half-up"
mixed_sizes = "predominant"
uplifts = "add"
removal_rate = "58.00"

[[size]]
name = "dime"
upto_mm = "17.91"
[[size]]
name = "nickel"
upto_mm = "21.21"
[[size]]
name = "quarter"
upto_mm = "24.26"
[[size]]
name = "half-dollar"
upto_mm = "30.61"

[[grid]]
bands = ["1-9", "10-29", "30+"]
dime = ["10.00", "20.00", "30.00"]
nickel = ["11.00", "21.00", "31.00"]
quarter = ["12.00", "22.00", "32.00"]
half-dollar = ["13.00", "23.00", "33.00"]
"#;
