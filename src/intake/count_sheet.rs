//! One count sheet in any of the three layouts → drafts of cars.

use super::car_cell;
use super::cells::{self, Read, Refusal};
use super::draft::{CarRemoval, Drafts, Fact, PanelDraft, SheetMeta};
use super::header::{Column, HeaderReader, Layout, ListColumn, Role};
use super::problem::{Place, Problem, Problems, Severity};
use super::storm_file::Settings;
use super::table::{Cell, Row, Table, TableData};
use crate::storm::words::{self, PanelWord};
use crate::storm::{Access, CodeId, Metal, Paint, Panel, Provenance, SizeId};

/// Reads one table of `counts/`. Whether it held a count sheet's header.
pub fn read(
    table: &Table,
    order: u32,
    settings: &Settings,
    drafts: &mut Drafts,
    problems: &mut Problems,
) -> bool {
    let headers = HeaderReader {
        options: &settings.intake,
        vocabulary: &settings.vocabulary,
        names: &settings.names,
    };
    let mut reader = SheetReader {
        table,
        headers,
        settings,
        drafts,
        problems,
        sheet: 0,
        order,
        layout: None,
        unknown: Vec::new(),
        width: 0,
        last_stock: None,
        passed_over: 0,
        found_header: false,
        header_at: 0,
    };
    let result = table.each_row(&mut |row| reader.row(row));
    reader.finish(result)
}

/// A column that nobody knows, and what it would lose.
struct UnknownColumn {
    column: Column,
    /// The first cell that begins with a digit: row and text.
    digits: Option<(u32, String)>,
    /// Cars that have a cell there.
    cars: Vec<usize>,
}

struct SheetReader<'a> {
    table: &'a Table,
    headers: HeaderReader<'a>,
    settings: &'a Settings,
    drafts: &'a mut Drafts,
    problems: &'a mut Problems,
    sheet: u32,
    order: u32,
    layout: Option<Layout>,
    unknown: Vec<UnknownColumn>,
    /// One past the header's last column.
    width: usize,
    last_stock: Option<usize>,
    passed_over: u32,
    found_header: bool,
    header_at: u32,
}

impl SheetReader<'_> {
    fn meta(&self) -> &SheetMeta {
        &self.drafts.sheets[self.sheet as usize]
    }

    fn row(&mut self, row: Row<'_>) -> bool {
        if !self.found_header {
            if row.number > super::csv_text::HEADER_WITHIN {
                return false;
            }
            return self.look_for_header(row);
        }
        match self.layout {
            Some(_) => self.count_row(row),
            None => return false,
        }
        true
    }

    fn look_for_header(&mut self, row: Row<'_>) -> bool {
        let cells: Vec<(usize, String)> = row
            .used()
            .map(|(at, cell)| (at, cell.shown().into_owned()))
            .collect();
        let texts: Vec<&str> = cells.iter().map(|(_, text)| text.as_str()).collect();
        if !self.headers.is_count_header(&texts) {
            self.passed_over += 1;
            return true;
        }
        self.found_header = true;
        self.header_at = row.number;
        self.width = row.width();
        let (layout, columns) = self.headers.count_columns(&cells);
        self.layout = layout;
        self.sheet = self.drafts.add_sheet(SheetMeta {
            order: self.order,
            file: self.table.file.clone(),
            sheet: self.table.sheet.clone(),
            columns: columns.clone(),
        });
        if layout.is_none() {
            return false;
        }
        self.check_columns(row.number, &columns);
        true
    }

    /// Columns twice, columns without their side.
    fn check_columns(&mut self, row: u32, columns: &[Column]) {
        for (index, column) in columns.iter().enumerate() {
            let twice = columns[..index].iter().find(|earlier| {
                earlier.role == column.role
                    && !matches!(column.role, Role::Unknown | Role::Ignored | Role::NoSide(_))
            });
            if let Some(earlier) = twice {
                let place = self
                    .meta()
                    .place_at(row, Some((column.index, &column.header)));
                let expected = format!("a column once; `{}` means the same", earlier.header);
                self.stop(place, &column.header, expected);
            }
            match column.role {
                Role::Unknown | Role::NoSide(_) => self.unknown.push(UnknownColumn {
                    column: column.clone(),
                    digits: None,
                    cars: Vec::new(),
                }),
                _ => {}
            }
        }
    }

    /// An error that belongs to no one car.
    fn stop(&mut self, place: Place, found: &str, expected: impl Into<String>) {
        self.problems.push_stopping(Problem {
            severity: Severity::Error,
            place,
            found: found.to_owned(),
            expected: expected.into(),
            meant: None,
            stock: None,
        });
    }

    fn caution(&mut self, place: Place, found: impl Into<String>, expected: impl Into<String>) {
        self.problems.push(Problem {
            severity: Severity::Caution,
            place,
            found: found.into(),
            expected: expected.into(),
            meant: None,
            stock: None,
        });
    }

    /// Reads a cell by its role; a refusal becomes an error of the car.
    fn get<T: Default>(
        &mut self,
        row: Row<'_>,
        role: Role,
        car: usize,
        read: impl FnOnce(Cell<'_>) -> Read<T>,
    ) -> T {
        let column = self
            .meta()
            .columns
            .iter()
            .find(|column| column.role == role);
        let Some(index) = column.map(|column| column.index) else {
            return T::default();
        };
        self.get_at(row, index, car, read)
    }

    fn get_at<T: Default>(
        &mut self,
        row: Row<'_>,
        index: usize,
        car: usize,
        read: impl FnOnce(Cell<'_>) -> Read<T>,
    ) -> T {
        if self.merged(row, index, car) {
            return T::default();
        }
        let cell = row.cell(index);
        match read(cell) {
            Ok(value) => value,
            Err(refusal) => {
                self.refuse(row.number, index, car, &cell.shown(), refusal);
                T::default()
            }
        }
    }

    /// Reads a cell that holds a list; every refused item is an error by itself.
    fn get_many<T>(
        &mut self,
        row: Row<'_>,
        index: usize,
        car: usize,
        read: impl FnOnce(Cell<'_>) -> (Vec<T>, Vec<(String, Refusal)>),
    ) -> Vec<T> {
        if self.merged(row, index, car) {
            return Vec::new();
        }
        let (values, refused) = read(row.cell(index));
        for (found, refusal) in refused {
            self.refuse(row.number, index, car, &found, refusal);
        }
        values
    }

    /// Whether a merged range over several rows covers the cell; its first
    /// row reports it, since its value belongs to no one row.
    fn merged(&mut self, row: Row<'_>, index: usize, car: usize) -> bool {
        let Some(merge) = self.table.merge_over(row.number, index) else {
            return false;
        };
        if merge.first_row == row.number {
            let found = format!("{} merged", merge.range);
            let refusal = Refusal::new("one value a row, not merged");
            self.refuse(row.number, index, car, &found, refusal);
        }
        self.drafts.cars[car].bad = true;
        true
    }

    fn refuse(&mut self, row: u32, index: usize, car: usize, found: &str, refusal: Refusal) {
        let place = self.place(row, index);
        self.drafts.error(
            car,
            place,
            found,
            refusal.expected,
            refusal.meant,
            self.problems,
        );
    }

    fn place(&self, row: u32, index: usize) -> Place {
        let meta = self.meta();
        let header = meta
            .columns
            .iter()
            .find(|column| column.index == index)
            .map_or("", |column| column.header.as_str());
        meta.place_at(row, Some((index, header)))
    }

    fn index_of(&self, role: Role) -> Option<usize> {
        self.meta()
            .columns
            .iter()
            .find(|column| column.role == role)
            .map(|column| column.index)
    }

    // ---- stock --------------------------------------------------------

    /// The car of a row; `None` when the row can belong to no car.
    fn car_of(&mut self, row: Row<'_>) -> Option<usize> {
        let index = self.index_of(Role::Stock)?;
        let cell = row.cell(index);
        if let Some(merge) = self.table.merge_over(row.number, index) {
            let car = if merge.first_row == row.number {
                let stock = stock_text(cell).unwrap_or_default();
                let car = self.known_car(&stock);
                let place = self.place(row.number, index);
                let found = format!("{} merged", merge.range);
                self.row_error(
                    place,
                    &found,
                    Refusal::new("one stock a row, not merged"),
                    car,
                );
                car
            } else {
                None
            };
            self.last_stock = car.or(self.last_stock);
            return None;
        }
        if cell.is_blank() {
            if self.settings.intake.stock_above && self.last_stock.is_some() {
                return self.last_stock;
            }
            let place = self.place(row.number, index);
            let refusal =
                Refusal::new("a stock; `[intake] blank_stock = \"above\"` takes the one above");
            // The row may belong to the car above, which is then not whole.
            self.row_error(place, "", refusal, self.last_stock);
            return None;
        }
        let stock = match stock_text(cell) {
            Ok(stock) => stock,
            Err(refusal) => {
                let place = self.place(row.number, index);
                self.row_error(place, &cell.shown(), refusal, None);
                return None;
            }
        };
        if is_sum_row(&stock) {
            let place = self.place(row.number, index);
            let refusal = Refusal::new("a car; this looks like a row of sums");
            self.row_error(place, &stock, refusal, None);
            return None;
        }
        if let Some(car) = self.drafts.find(&stock) {
            self.last_stock = Some(car);
            return Some(car);
        }
        if self.drafts.has_list {
            let near = self.drafts.near_misses(&stock);
            let place = self.place(row.number, index);
            let mut refusal = Refusal::new("a stock of the vehicle list");
            let names: Vec<&str> = near
                .iter()
                .map(|car| self.drafts.cars[*car].stock.as_str())
                .collect();
            if !names.is_empty() {
                refusal.meant = Some(names.join(" or "));
            }
            for &car in &near {
                self.drafts.cars[car].bad = true;
            }
            self.drafts.note_unknown(&stock, &self.table.file);
            self.row_error(place, &stock, refusal, None);
            return None;
        }
        let car = self.drafts.add(&stock);
        self.last_stock = Some(car);
        Some(car)
    }

    fn known_car(&mut self, stock: &str) -> Option<usize> {
        if stock.is_empty() {
            return None;
        }
        match self.drafts.find(stock) {
            Some(car) => Some(car),
            None if self.drafts.has_list => None,
            None => Some(self.drafts.add(stock)),
        }
    }

    /// An error of a row that names no sound car. `suspect` is the car that
    /// the row may belong to.
    fn row_error(&mut self, place: Place, found: &str, refusal: Refusal, suspect: Option<usize>) {
        if let Some(car) = suspect {
            self.drafts.cars[car].bad = true;
            self.drafts.cars[car].spoken_of = true;
        }
        self.problems.push(Problem {
            severity: Severity::Error,
            place,
            found: found.to_owned(),
            expected: refusal.expected,
            meant: refusal.meant,
            stock: suspect.map(|car| self.drafts.cars[car].stock.clone()),
        });
    }

    // ---- rows ---------------------------------------------------------

    fn count_row(&mut self, row: Row<'_>) {
        let Some(car) = self.car_of(row) else { return };
        let source = Provenance {
            sheet: self.sheet,
            row: row.number,
        };
        let draft = &mut self.drafts.cars[car];
        draft.first_row.get_or_insert(source);
        draft.spoken_of |= self.layout != Some(Layout::Cars);
        if let Some((index, cell)) = row.first_used_from(self.width) {
            let place = self.meta().place_at(row.number, Some((index, "")));
            let place = Place {
                column: None,
                ..place
            };
            let found = cell.shown().into_owned();
            self.drafts.error(
                car,
                place,
                found,
                "nothing beyond the last column",
                None,
                self.problems,
            );
        }
        self.note_unknown(row, car);
        self.facts(row, car, source);
        match self.layout {
            Some(Layout::Panels) => self.panel_row(row, car, source),
            Some(Layout::Dents) => self.dent_row(row, car, source),
            Some(Layout::Cars) => self.car_row(row, car, source),
            None => {}
        }
    }

    fn note_unknown(&mut self, row: Row<'_>, car: usize) {
        for unknown in &mut self.unknown {
            let cell = row.cell(unknown.column.index);
            if cell.is_blank() {
                continue;
            }
            let text = cell.shown();
            if text.starts_with(|c: char| c.is_ascii_digit()) {
                unknown
                    .digits
                    .get_or_insert_with(|| (row.number, text.into_owned()));
                unknown.cars.push(car);
            }
        }
    }

    /// Columns of the vehicle list that stand in a count sheet.
    fn facts(&mut self, row: Row<'_>, car: usize, source: Provenance) {
        let listed: Vec<(usize, ListColumn)> = self
            .meta()
            .columns
            .iter()
            .filter_map(|column| match column.role {
                Role::List(list) => Some((column.index, list)),
                _ => None,
            })
            .collect();
        for (index, column) in listed {
            let cell = row.cell(index);
            if cell.is_blank() {
                continue;
            }
            let comma = self.table.decimal_comma();
            let text = self.get_at(row, index, car, |cell| fact_text(cell, column, comma));
            if text.is_empty() {
                continue;
            }
            let known = self.drafts.cars[car].fact(column).cloned();
            match known {
                None if self.drafts.has_list => {}
                None => self.drafts.cars[car].facts.push(Fact {
                    column,
                    text,
                    source,
                }),
                Some(known) if same_meaning(&known.text, &text) => {}
                Some(known) => {
                    let place = self.place(row.number, index);
                    let other = &self.drafts.sheets[known.source.sheet as usize];
                    let expected = format!(
                        "{}, as row {} of {} says",
                        known.text, known.source.row, other.file
                    );
                    if self.drafts.has_list {
                        self.drafts
                            .caution(car, place, text, expected, self.problems);
                    } else {
                        self.drafts
                            .error(car, place, text, expected, None, self.problems);
                    }
                }
            }
        }
    }

    fn panel_of(&mut self, row: Row<'_>, car: usize) -> Option<Panel> {
        let index = self.index_of(Role::Panel)?;
        let cell = row.cell(index);
        let vocabulary = &self.settings.vocabulary;
        let read = match (cell, vocabulary.panel(&cell.shown())) {
            (Cell::Blank, _) => Err(Refusal::new("a panel")),
            (Cell::NoValue(_), _) => Err(Refusal::new("a formula with a stored value")),
            (_, Some(PanelWord::One(panel))) => Ok(panel),
            (_, Some(PanelWord::NoSide(panels))) => Err(side_refusal(panels)),
            (cell, None) => Err(Refusal {
                expected: "a panel".to_owned(),
                meant: vocabulary.nearest_panel(&cell.shown()),
            }),
        };
        match read {
            Ok(panel) => Some(panel),
            Err(refusal) => {
                self.refuse(row.number, index, car, &cell.shown(), refusal);
                None
            }
        }
    }

    fn codes(&mut self, row: Row<'_>, car: usize) -> Vec<CodeId> {
        let list = self.get(row, Role::Remove, car, cells::word_list);
        let Some(index) = self.index_of(Role::Remove) else {
            return Vec::new();
        };
        let mut codes = Vec::new();
        for word in list {
            match self.code(&word) {
                Ok(code) => codes.push(code),
                Err(refusal) => self.refuse(row.number, index, car, &word, refusal),
            }
        }
        codes
    }

    fn code(&self, word: &str) -> Read<CodeId> {
        self.settings.names.code(word)
    }

    /// Metal, access, conventional, prior, paint, note, removals: what panel
    /// rows and dent rows share.
    fn common(&mut self, row: Row<'_>, car: usize, draft: &mut PanelDraft) {
        let metals = Metal::ALL.map(|metal| (metal.word(), metal));
        let accesses = Access::ALL.map(|access| (access.word(), access));
        let paints = Paint::ALL.map(|paint| (paint.word(), paint));
        draft.metal = self
            .get(row, Role::Metal, car, |cell| {
                cells::word(cell, &metals, words::metal)
            })
            .map(|metal| (metal, row.number));
        draft.access = self
            .get(row, Role::Access, car, |cell| {
                cells::word(cell, &accesses, words::access)
            })
            .map(|access| (access, row.number));
        draft.conventional = self.get(row, Role::Conventional, car, cells::yes_no);
        draft.prior = self.get(row, Role::Prior, car, |cell| {
            cells::whole(cell, "a whole number of dents")
        });
        draft.paint = self
            .get(row, Role::Paint, car, |cell| {
                cells::word(cell, &paints, |word| {
                    let folded = words::fold(word);
                    Paint::ALL.into_iter().find(|paint| paint.word() == folded)
                })
            })
            .unwrap_or_default();
        draft.note = self.get(row, Role::Note, car, cells::text);
        draft.counted_by = self.get(row, Role::CountedBy, car, cells::text);
        draft.counted_on = self.get(row, Role::CountedOn, car, cells::text);
        for code in self.codes(row, car) {
            draft.add_removal(code);
        }
    }

    fn panel_row(&mut self, row: Row<'_>, car: usize, source: Provenance) {
        let Some(panel) = self.panel_of(row, car) else {
            return;
        };
        let mut draft = PanelDraft::new(panel, source);
        let classes: Vec<(usize, SizeId)> = self
            .meta()
            .columns
            .iter()
            .filter_map(|column| match column.role {
                Role::Class(size) => Some((column.index, size)),
                _ => None,
            })
            .collect();
        let mut by_class = false;
        for (index, size) in classes {
            by_class |= !row.cell(index).is_blank();
            let dents = self.get_at(row, index, car, cells::dents);
            draft.add_sized(size, dents);
        }
        self.dents_and_size(row, car, &mut draft, by_class);
        let (unit, comma) = (self.settings.unit, self.table.decimal_comma());
        if let Some(index) = self.index_of(Role::Oversize) {
            for sized in self.get_many(row, index, car, |cell| cells::sizes(cell, unit, comma)) {
                draft.add_measured(sized.diameter, sized.dents, true);
            }
        }
        self.common(row, car, &mut draft);
        self.take(row, car, draft);
    }

    /// Takes in the panel of a row that names it in its panel column.
    fn take(&mut self, row: Row<'_>, car: usize, draft: PanelDraft) {
        let written = self
            .index_of(Role::Panel)
            .map_or(Cell::Blank, |index| row.cell(index));
        self.drafts.take_panel(
            car,
            draft,
            &written.shown(),
            self.settings.intake.repeated,
            self.problems,
        );
    }

    /// The columns `dents` and `size`: a total and its predominant class.
    fn dents_and_size(&mut self, row: Row<'_>, car: usize, draft: &mut PanelDraft, by_class: bool) {
        let Some(index) = self.index_of(Role::Dents) else {
            return;
        };
        let cell = row.cell(index);
        let total = self.get_at(row, index, car, cells::dents);
        if by_class {
            let sum: u32 = draft.sized.iter().map(|(_, dents)| *dents).sum();
            if !cell.is_blank() && total != sum {
                let refusal = Refusal::new(format!("blank, or the sum of the classes: {sum}"));
                self.refuse(row.number, index, car, &cell.shown(), refusal);
            }
            return;
        }
        let names = &self.settings.names;
        let size = self.get(row, Role::Size, car, |cell| match cell {
            Cell::Blank => Ok(None),
            cell => names.size(&cell.shown()).map(Some),
        });
        match size {
            Some(size) => draft.add_sized(size, total),
            None if total > 0 => {
                let at = self.index_of(Role::Size);
                let shown = at.map_or(Cell::Blank, |at| row.cell(at));
                // A size that is there but unknown was reported already.
                if shown.is_blank() {
                    let word = if total == 1 { "dent" } else { "dents" };
                    let refusal = Refusal::new(format!("a size class for {total} {word}"));
                    self.refuse(row.number, at.unwrap_or(index), car, "", refusal);
                }
            }
            None => {}
        }
    }

    fn dent_row(&mut self, row: Row<'_>, car: usize, source: Provenance) {
        let Some(panel) = self.panel_of(row, car) else {
            return;
        };
        let mut draft = PanelDraft::new(panel, source);
        draft.adds_up = true;
        let column = self
            .meta()
            .columns
            .iter()
            .find_map(|column| match column.role {
                Role::Diameter(unit) => Some((column.index, unit)),
                _ => None,
            });
        let count_at = self.index_of(Role::Count);
        let count_cell = count_at.map_or(Cell::Blank, |at| row.cell(at));
        let bad_before = self.drafts.cars[car].bad;
        self.drafts.cars[car].bad = false;
        let count = if count_cell.is_blank() {
            1
        } else {
            self.get(row, Role::Count, car, cells::dents)
        };
        let count_refused = std::mem::replace(&mut self.drafts.cars[car].bad, bad_before);
        self.drafts.cars[car].bad |= count_refused;
        if let Some((index, unit)) = column {
            let (unit, comma) = (
                unit.unwrap_or(self.settings.unit),
                self.table.decimal_comma(),
            );
            let blank = row.cell(index).is_blank();
            let diameter = self.get_at(row, index, car, |cell| cells::diameter(cell, unit, comma));
            if blank && count > 0 && !count_refused {
                let refusal = Refusal::new("a diameter; only count 0 has none");
                self.refuse(row.number, index, car, "", refusal);
            }
            if let Some(diameter) = diameter {
                draft.add_measured(diameter, count, false);
            }
        }
        self.common(row, car, &mut draft);
        self.take(row, car, draft);
    }

    fn car_row(&mut self, row: Row<'_>, car: usize, source: Provenance) {
        let panels: Vec<(usize, Panel)> = self
            .meta()
            .columns
            .iter()
            .filter_map(|column| match column.role {
                Role::PanelCell(panel) => Some((column.index, panel)),
                _ => None,
            })
            .collect();
        let grammar = car_cell::Grammar {
            names: &self.settings.names,
            decimal_comma: self.table.decimal_comma(),
        };
        for (index, panel) in panels {
            if row.cell(index).is_blank() {
                continue;
            }
            self.drafts.cars[car].spoken_of = true;
            let mut draft = PanelDraft::new(panel, source);
            let terms = self.get_many(row, index, car, |cell| grammar.read(cell));
            car_cell::apply(&terms, &mut draft, row.number);
            self.drafts.take_panel(
                car,
                draft,
                panel.word(),
                self.settings.intake.repeated,
                self.problems,
            );
        }
        for code in self.codes(row, car) {
            self.drafts.cars[car].spoken_of = true;
            self.drafts.cars[car]
                .removals
                .push(CarRemoval { code, source });
        }
        let note = self.get(row, Role::Note, car, cells::text);
        if self.drafts.cars[car].note.is_empty() {
            self.drafts.cars[car].note = note;
        }
    }

    // ---- the end ------------------------------------------------------

    fn finish(mut self, result: Result<u32, super::table::Unreadable>) -> bool {
        let file_place = Place {
            order: self.order,
            sheet: self.table.sheet.clone(),
            ..Place::file(&self.table.file)
        };
        match result {
            Err(unreadable) => {
                let place = Place {
                    row: unreadable.row,
                    ..file_place
                };
                self.stop(place, &unreadable.found, unreadable.expected);
                return true;
            }
            Ok(0) => {}
            Ok(comments) => self.caution_passed(comments, "comment", file_place.clone()),
        }
        if !self.found_header || self.layout.is_none() {
            return false;
        }
        if self.passed_over > 0 {
            self.caution_passed(self.passed_over, "title", file_place.clone());
        }
        if let TableData::Book(sheet) = &self.table.data {
            if sheet.hidden {
                self.caution(
                    file_place.clone(),
                    "a hidden sheet",
                    "to be known: hidden sheets are read",
                );
            }
            match sheet.hidden_rows {
                0 => {}
                1 => self.caution(
                    file_place,
                    "a hidden row",
                    "to be known: hidden rows are read",
                ),
                rows => self.caution(
                    file_place,
                    format!("{rows} hidden rows"),
                    "to be known: hidden rows are read",
                ),
            }
        }
        self.report_unknown();
        true
    }

    /// Rows above the header and comments are passed over, and said.
    fn caution_passed(&mut self, rows: u32, what: &str, place: Place) {
        let word = if rows == 1 { "row" } else { "rows" };
        self.problems
            .note(place, format!("{rows} {what} {word} passed over"));
    }

    fn report_unknown(&mut self) {
        let Some(layout) = self.layout else { return };
        for unknown in std::mem::take(&mut self.unknown) {
            let column = &unknown.column;
            let place = self
                .meta()
                .place_at(self.header_at, Some((column.index, &column.header)));
            if let Role::NoSide(panels) = column.role {
                for &car in &unknown.cars {
                    self.drafts.cars[car].bad = true;
                }
                let refusal = side_refusal(panels);
                self.problems.push(Problem {
                    severity: Severity::Error,
                    place,
                    found: column.header.clone(),
                    expected: refusal.expected,
                    meant: None,
                    stock: None,
                });
                continue;
            }
            let near = self.headers.nearest_column(&column.header, layout);
            let nearest = near.map_or(String::new(), |near| format!("; nearest: {near}"));
            let counts_lost = layout != Layout::Dents && unknown.digits.is_some();
            if counts_lost {
                let (row, text) = unknown.digits.clone().unwrap_or_default();
                for &car in &unknown.cars {
                    self.drafts.cars[car].bad = true;
                }
                self.problems.push(Problem {
                    severity: Severity::Error,
                    place,
                    found: column.header.clone(),
                    expected: format!(
                        "a known column{nearest}: row {row} holds {text}, so dents would be lost; `[intake] ignore = [\"{}\"]` leaves it out",
                        column.header
                    ),
                    meant: None,
                    stock: None,
                });
            } else {
                self.caution(
                    place,
                    column.header.clone(),
                    format!("a known column{nearest}. The column is left out"),
                );
            }
        }
    }
}

/// The refusal of a panel word without its side.
fn side_refusal(panels: &[Panel]) -> Refusal {
    let words: Vec<&str> = panels.iter().map(|panel| panel.word()).collect();
    Refusal::new(format!("a side: {}", super::toml_doc::one_of(&words)))
}

/// A stock as text: outer blanks and our own guard taken off; a workbook's
/// whole number becomes its digits.
pub fn stock_text(cell: Cell<'_>) -> Read<String> {
    match cell {
        Cell::Number(number) if number.fract() == 0.0 && (0.0..1e15).contains(&number) => {
            Ok(format!("{number:.0}"))
        }
        Cell::Number(_) => Err(Refusal::new("a stock; a number here is a whole one")),
        Cell::Text(text) => Ok(cells::unguarded(text).trim().to_owned()),
        Cell::Date(_) => Err(Refusal::new("a stock, not a date")),
        Cell::Truth(_) => Err(Refusal::new("a stock, not a yes or no")),
        Cell::NoValue(_) => Err(Refusal::new("a formula with a stored value")),
        Cell::Fault(_) => Err(Refusal::new("a stock, not an error value")),
        Cell::Blank => Ok(String::new()),
    }
}

/// Whether a stock is the label of a row of sums.
#[must_use]
pub fn is_sum_row(stock: &str) -> bool {
    ["total", "totals", "sum", "sums", "subtotal", "grandtotal"]
        .contains(&words::fold(stock).trim_end_matches(':'))
}

/// The text of a list column; figures and dates as people write them.
pub fn fact_text(cell: Cell<'_>, column: ListColumn, decimal_comma: bool) -> Read<String> {
    if matches!(column, ListColumn::Value | ListColumn::Deductible) {
        let figure = cells::figure(cell, decimal_comma, "money, 0 or more")?;
        return Ok(figure.map_or(String::new(), |figure| figure.to_string()));
    }
    match cell {
        Cell::Date(_) if matches!(column, ListColumn::Body | ListColumn::Payer) => {
            Err(Refusal::new("a word, not a date"))
        }
        cell => cells::text(cell),
    }
}

/// Whether two writings mean the same: equal figures, or equal once folded.
#[must_use]
pub fn same_meaning(one: &str, other: &str) -> bool {
    let figure = |text: &str| text.trim().parse::<rust_decimal::Decimal>().ok();
    match (figure(one), figure(other)) {
        (Some(one), Some(other)) => one == other,
        _ => words::fold(one) == words::fold(other),
    }
}
