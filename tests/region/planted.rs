//! A sound sheet with faults planted in it, and what must be said of them.

use super::Files;
use super::both::{Both, both, folder, same};
use super::lots::{Kind, STORM, enough, lot};
use super::said::{Said, by_check, by_library, in_memory};
use super::sheet::{Look, SheetRow, Written, written};
use super::tables;
use crate::builder::hailyard;
use crate::properties::model::priced;
use crate::properties::plain::Count;
use crate::properties::storms::Dice;
use hailyard::cli::Exit;
use std::collections::BTreeSet;

/// What must be said of a row, wherever the row comes to stand.
#[derive(Clone)]
struct Fault {
    /// Which row, by its mark.
    mark: usize,
    said: Said,
    /// The row that a repeated one names, by its mark.
    first: Option<usize>,
}

/// A storm with faults in its count sheets.
pub struct Planted {
    pub written: Written,
    rolls: Vec<u16>,
    /// The mark of every row, sheet by sheet; a row keeps it when others come
    /// before it.
    marks: Vec<Vec<usize>>,
    faults: Vec<Fault>,
    /// Cars that must be left out.
    bad: BTreeSet<String>,
    /// What must be said beside problems, whole lines.
    pub notes: Vec<String>,
    /// What is said of the list, before all that is said of the counts.
    pub of_list: Vec<Said>,
    /// How a count sheet's text becomes bytes.
    pub encode: Option<fn(&str) -> Vec<u8>>,
}

impl Planted {
    pub fn new(kind: &Kind, look: &Look) -> Planted {
        let rolls = enough(kind);
        let mut dice = Dice::new(&rolls);
        let made = lot(kind, &mut dice);
        let written = written(kind, look, &made, &mut dice);
        let mut next = 0..;
        let marks = |rows: usize| next.by_ref().take(rows).collect();
        let sheets = written.counts.iter();
        Planted {
            marks: sheets.map(|sheet| sheet.rows.len()).map(marks).collect(),
            written,
            rolls,
            faults: Vec::new(),
            bad: BTreeSet::new(),
            notes: Vec::new(),
            of_list: Vec::new(),
            encode: None,
        }
    }

    /// The mark of a car's row, the first is 0.
    pub fn row(&self, car: usize, nth: usize) -> usize {
        let stock = &self.written.lot.cars[car].stock;
        let sheets = self.written.counts.iter().zip(&self.marks);
        let rows = sheets.flat_map(|(sheet, marks)| sheet.rows.iter().zip(marks));
        let own = rows.filter(|(row, _)| row.stock == *stock);
        *own.map(|(_, mark)| mark).nth(nth).expect("a row")
    }

    /// Sheet and place of a row.
    fn at(&self, mark: usize) -> (usize, usize) {
        let at = |marks: &Vec<usize>| marks.iter().position(|known| *known == mark);
        let mut sheets = self.marks.iter().map(at).enumerate();
        let found = sheets.find_map(|(sheet, at)| Some((sheet, at?)));
        found.expect("a row of this mark")
    }

    /// A row.
    pub fn line(&mut self, mark: usize) -> &mut SheetRow {
        let (sheet, at) = self.at(mark);
        &mut self.written.counts[sheet].rows[at]
    }

    /// One cell of a row.
    pub fn cell(&mut self, mark: usize, column: &str) -> &mut String {
        let columns = &self.written.counts[0].columns;
        let index = columns.iter().position(|known| known == column);
        &mut self.line(mark).cells[index.expect("a column")]
    }

    /// The count that a row is of, for the model.
    pub fn count(&mut self, mark: usize) -> &mut Count {
        let stock = self.line(mark).stock.clone();
        let panel = self.cell(mark, "panel").clone();
        let mut cars = self.written.lot.cars.iter_mut();
        let car = cars.find(|car| car.stock == stock).expect("its car");
        let mut panels = car.panels.iter_mut();
        panels
            .find(|count| count.panel == panel)
            .expect("its panel")
    }

    /// Puts a row above another; its mark.
    pub fn insert(&mut self, below_it: usize, row: SheetRow) -> usize {
        let (sheet, at) = self.at(below_it);
        let mark = self.marks.iter().map(Vec::len).sum();
        self.marks[sheet].insert(at, mark);
        self.written.counts[sheet].rows.insert(at, row);
        mark
    }

    /// A line that is no row of cells above a row.
    pub fn insert_raw(&mut self, below_it: usize, text: &str) {
        let row = SheetRow {
            raw: Some(text.to_owned()),
            ..SheetRow::default()
        };
        self.insert(below_it, row);
    }

    /// Writes into a cell of a row what is an error there.
    pub fn plant(&mut self, mark: usize, column: &str, cell: &str) {
        self.plant_part(mark, column, cell, cell);
    }

    /// The same where only a part of the cell is an error.
    pub fn plant_part(&mut self, mark: usize, column: &str, cell: &str, found: &str) {
        cell.clone_into(self.cell(mark, column));
        self.error(mark, column, found);
    }

    /// An error of a row and its car.
    pub fn error(&mut self, mark: usize, column: &str, found: &str) {
        let car = self.line(mark).stock.clone();
        self.bad.insert(car.clone());
        self.say("error", mark, column, found, &car);
    }

    /// A caution about a row's car.
    pub fn caution(&mut self, mark: usize, column: &str, found: &str) {
        let car = self.line(mark).stock.clone();
        self.say("caution", mark, column, found, &car);
    }

    /// Something is said of a row; an empty car: of no car.
    pub fn say(
        &mut self,
        severity: &'static str,
        mark: usize,
        column: &str,
        found: &str,
        car: &str,
    ) {
        self.faults.push(Fault {
            mark,
            said: Said {
                severity,
                file: String::new(),
                row: 0,
                column: column.to_owned(),
                found: found.to_owned(),
                car: car.to_owned(),
                words: String::new(),
            },
            first: None,
        });
    }

    /// What was planted last must be said in these words too.
    pub fn words(&mut self, words: &str) {
        let last = self.faults.last_mut().expect("a fault");
        words.clone_into(&mut last.said.words);
    }

    /// What was planted last must name this row as the first.
    pub fn names(&mut self, first: usize) {
        self.faults.last_mut().expect("a fault").first = Some(first);
    }

    /// A car that must be left out beside those with errors of their own.
    pub fn suspect(&mut self, stock: &str) {
        self.bad.insert(stock.to_owned());
    }

    /// File and row as a spreadsheet has them.
    pub fn place(&self, mark: usize) -> (&str, u32) {
        let (sheet, at) = self.at(mark);
        let sheet = &self.written.counts[sheet];
        // Rows count from 1, and the header is one.
        let row = sheet.above.len() + 1 + at + 1;
        (&sheet.name, u32::try_from(row).expect("a sheet"))
    }

    /// What must be said, by row and column.
    pub fn expected(&self) -> Vec<Said> {
        let columns = &self.written.counts[0].columns;
        let mut faults = Vec::new();
        for fault in &self.faults {
            let mut said: Said = fault.said.clone();
            let (file, row) = self.place(fault.mark);
            (said.file, said.row) = (file.to_owned(), row);
            if let Some(first) = fault.first {
                let (file, row) = self.place(first);
                said.words = format!("first at row {row} of {file} ");
            }
            let column = columns.iter().position(|column| *column == said.column);
            faults.push(((self.at(fault.mark).0, row, column), said));
        }
        faults.sort_by_key(|(place, _)| *place);
        let of_counts = faults.into_iter().map(|(_, said)| said);
        self.of_list.iter().cloned().chain(of_counts).collect()
    }

    pub fn files(&self) -> Files {
        let mut files = self.written.files(&mut Dice::new(&self.rolls));
        if let Some(encode) = self.encode {
            for (name, bytes) in &mut files {
                if name.starts_with("counts/") {
                    *bytes = encode(std::str::from_utf8(bytes).expect("UTF-8"));
                }
            }
        }
        files
    }

    /// That all of it is said by every way, and nothing else; and that the
    /// other cars are priced as the model prices them.
    #[track_caller]
    pub fn check(&self) {
        let files = self.files();
        let expected = self.expected();
        let said = by_check(&files);
        same_problems(&said, &expected);
        assert_eq!(by_library(&in_memory(&files)), said);
        let found = both(&files, &[]);
        if expected.iter().all(|said| said.severity == "caution") {
            assert_eq!(found.ran.exit, Exit::Done);
            let lines: Vec<&str> = found.ran.err.lines().collect();
            self.same_lines(&lines, &expected);
            self.same_files(&found);
            return;
        }
        assert_eq!(found.ran.exit, Exit::Problems);
        assert!(found.written.is_empty(), "nothing is written");
        assert_eq!(found.ran.out.lines().count(), 1, "{}", found.ran.out);
        self.same_text(&found, &expected, "nothing was priced; ");
        self.same_as_checked(&found, &files);
        let found = both(&files, &["--without-bad"]);
        assert_eq!(found.ran.exit, Exit::Problems);
        let cars = self.written.lot.cars.iter();
        let left_out: Vec<&str> = cars
            .map(|car| car.stock.as_str())
            .filter(|stock| self.bad.contains(*stock))
            .collect();
        assert_eq!(left_out.len(), self.bad.len(), "bad cars of the lot");
        let said = match left_out.len() {
            0 => "no car is left out".to_owned(),
            1 => format!("1 car is left out: {}", left_out[0]),
            more => format!("{more} cars are left out: {}", left_out.join(", ")),
        };
        self.same_text(&found, &expected, &said);
        self.same_files(&found);
    }

    /// The lines that `check` shows are those that `price` shows.
    #[track_caller]
    fn same_as_checked(&self, found: &Both, files: &Files) {
        let storm = folder(files);
        let checked = hailyard(&["check", &storm.arg()]).out;
        let (checked, priced) = (checked.lines().skip(1), found.ran.err.lines());
        let checked: Vec<&str> = checked.collect();
        let priced: Vec<&str> = priced.collect();
        // All but the last, which says how many there are.
        let but_last = |lines: &[&str]| lines[..lines.len() - 1].to_vec().join("\n");
        same(
            "priced and checked",
            &but_last(&priced),
            &but_last(&checked),
        );
    }

    /// The files of the cars that are not bad.
    #[track_caller]
    fn same_files(&self, found: &Both) {
        let mut lot = self.written.lot.clone();
        lot.cars.retain(|car| !self.bad.contains(&car.stock));
        let priced = priced(&lot);
        same(
            "cars.csv",
            found.text("cars.csv"),
            &tables::cars(&lot, &priced),
        );
        let totals = tables::totals(&lot, STORM, &priced);
        same("totals.csv", found.text("totals.csv"), &totals);
    }

    /// Standard error: notes, problems, how many, and what was done about it.
    #[track_caller]
    fn same_text(&self, found: &Both, expected: &[Said], done: &str) {
        let mut lines: Vec<&str> = found.ran.err.lines().collect();
        let last = lines.pop().expect("a last line");
        let errors = expected.iter().filter(|said| said.severity == "error");
        let errors = errors.count();
        let cautions = expected.len() - errors;
        let plural = |count, word| match count {
            1 => format!("1 {word}"),
            more => format!("{more} {word}s"),
        };
        let counted = format!(
            "{}, {}",
            plural(errors, "error"),
            plural(cautions, "caution")
        );
        assert!(last.starts_with(&format!("{counted}; {done}")), "{last}");
        self.same_lines(&lines, expected);
    }

    /// Notes, then problems.
    #[track_caller]
    fn same_lines(&self, lines: &[&str], expected: &[Said]) {
        let (notes, problems) = lines.split_at(self.notes.len());
        assert_eq!(notes, self.notes);
        assert_eq!(problems.len(), expected.len());
        for (line, said) in problems.iter().zip(expected) {
            assert!(said.is_line(line), "{line}\n{said:?}");
        }
    }
}

/// Both lists, in order; the first that differ are shown.
#[track_caller]
pub fn same_problems(found: &[Said], expected: &[Said]) {
    let pairs = found.iter().zip(expected);
    for (index, (found, expected)) in pairs.enumerate() {
        assert!(
            found.meets(expected),
            "problem {index}:\n found    {found:?}\n expected {expected:?}"
        );
    }
    let least = found.len().min(expected.len());
    let (more, missing) = (&found[least..], &expected[least..]);
    assert!(
        more.is_empty() && missing.is_empty(),
        "said besides: {more:#?}\nnot said: {missing:#?}"
    );
}
