//! What sheets may look like: delimiters, headers, words, rows.

use crate::builder::{Folder, OneCar, SMALL_CARD, data, hailyard};
use hailyard::cli::Exit;

/// The amount of `dents CLASS` on a panel of car A1.
#[track_caller]
fn dents(storm: &OneCar, expected: &[&str]) {
    let lines = storm.price().lines("A1");
    assert_eq!(lines, expected);
}

#[test]
fn a_header_may_stand_below_titles_and_in_other_words() {
    dents(
        &OneCar::new("Evening round\n\n# a remark\nStock No.;x\nStock,Part,Half Dollar,DIME\nA1,Bonnet,1,2\n")
            .card(""),
        &["hood|dents|dents dime|3|10.00"],
    );
}

#[test]
fn semicolon_files_have_decimal_commas() {
    dents(
        &OneCar::new("stock;panel;dime;oversize\nA1;hood;3;\"31,5; 40 x2\"\n")
            .card("[[oversize]]\nupto_mm = \"45\"\neach = \"38.00\"\n"),
        // 3 dimes 10.00; 3 oversize dents x 38.00
        &[
            "hood|dents|dents dime|3|10.00",
            "hood|dents|oversize to 45 mm|3|114.00",
        ],
    );
}

#[test]
fn tab_files_and_carriage_returns_and_marks_are_read() {
    dents(
        &OneCar::new("\u{feff}stock\tpanel\tdime\r\nA1\thood\t3\r\n\r\nA1\troof\t10\r\n"),
        &[
            "hood|dents|dents dime|3|10.00",
            "roof|dents|dents dime|10|20.00",
        ],
    );
}

/// Rows are a spreadsheet's: blank lines, comments and newlines inside quotes
/// do not shift the row of a problem.
#[test]
fn rows_are_counted_as_a_spreadsheet_counts_them() {
    for newline in ["\n", "\r\n"] {
        let sheet = [
            "stock,panel,dime,note",
            "",
            "A1,hood,3,\"two",
            "lines\"",
            "# passed over",
            "",
            "",
            "A1,roof,x,",
        ]
        .join(newline);
        let folder = OneCar::new(&sheet).folder();
        let ran = hailyard(&["check", &folder.arg()]);
        // The quoted newline belongs to row 3, so the rows are 1, 2 (blank), 3, 4 (#), 5, 6 (blank), 7.
        assert!(ran.out.contains("row 7, dime: found `x`"), "{}", ran.out);
        assert!(ran.out.contains("1 comment row passed over"), "{}", ran.out);
    }
}

#[test]
fn windows_1252_is_read_and_said_once() {
    let mut sheet = b"stock,panel,dime,note\nA1,hood,3,caf".to_vec();
    sheet.extend_from_slice(b"\xe9\n");
    let folder = OneCar::new("").folder().file("counts/lot.csv", sheet);
    let ran = hailyard(&["check", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.out);
    assert_eq!(ran.out.matches("Windows-1252").count(), 1, "{}", ran.out);
}

#[test]
fn dents_and_size_stand_for_a_total_and_its_class() {
    dents(
        &OneCar::new("stock,panel,dents,size\nA1,hood,12,nickel\nA1,roof,0,\n"),
        &["hood|dents|dents nickel|12|21.00"],
    );
}

#[test]
fn a_total_beside_classes_is_blank_or_their_sum() {
    let right = OneCar::new("stock,panel,dime,nickel,dents\nA1,hood,3,4,7\nA1,roof,1,,\n");
    dents(
        &right,
        &[
            "hood|dents|dents nickel|7|11.00",
            "roof|dents|dents dime|1|10.00",
        ],
    );
    let folder = OneCar::new("stock,panel,dime,nickel,dents\nA1,hood,3,4,8\n").folder();
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(
        ran.out
            .contains("found `8`; expected blank, or the sum of the classes: 7"),
        "{}",
        ran.out
    );
}

#[test]
fn repeated_panels_are_refused_added_or_the_last_is_taken() {
    let sheet = "stock,panel,dime\nA1,hood,3\nA1,hood,8\n";
    let with = |intake: &str| {
        let storm = OneCar::new(sheet);
        let folder = storm.folder();
        let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("read");
        folder.file("storm.toml", format!("{toml}\n[intake]\n{intake}\n"))
    };
    let ran = hailyard(&["check", &with("").arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.out.contains("row 3") && ran.out.contains("first at row 2"),
        "{}",
        ran.out
    );
    // 3 + 8 = 11: band 10-29, 20.00
    let ran = hailyard(&["price", &with("repeated = \"add\"").arg()]);
    assert!(ran.out.contains(" 20.00"), "{}", ran.out);
    // the last, 8: band 1-9, 10.00
    let ran = hailyard(&["price", &with("repeated = \"last\"").arg()]);
    assert!(ran.out.contains(" 10.00"), "{}", ran.out);
}

#[test]
fn a_teams_own_words_are_mapped_and_columns_left_out_on_request() {
    let storm = OneCar::new("Wagen,Teil,dime,Nr.\nA1,Haube,3,4\n");
    let folder = storm.folder();
    let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("read");
    let intake = "[intake]\nignore = [\"Nr.\"]\n[intake.columns]\nWagen = \"stock\"\nTeil = \"panel\"\n[intake.panels]\nHaube = \"hood\"\n";
    let folder = folder.file("storm.toml", format!("{toml}\n{intake}"));
    let ran = hailyard(&["price", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert!(ran.out.contains("10.00"), "{}", ran.out);
}

#[test]
fn blank_stocks_may_mean_the_one_above() {
    let storm = OneCar::new("stock,panel,dime\nA1,hood,3\n,roof,3\n");
    let folder = storm.folder();
    let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("read");
    let folder = folder.file(
        "storm.toml",
        format!("{toml}\n[intake]\nblank_stock = \"above\"\n"),
    );
    let ran = hailyard(&["price", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert!(ran.out.contains("20.00"), "{}", ran.out);
}

/// Without a list the count sheets' own columns are the list; two different
/// values for one car are an error, with a list beside them a caution.
#[test]
fn columns_of_the_list_are_known_in_count_sheets() {
    let sheet = "stock,panel,dime,body,value\nA1,hood,3,suv,9000\nA1,roof,3,suv,9000.00\n";
    let tables = OneCar::new(sheet).price();
    assert_eq!(tables.total("body", "suv", "cars"), "1");
    let folder = OneCar::new("stock,panel,dime,body\nA1,hood,3,suv\nA1,roof,3,van\n").folder();
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(
        ran.out
            .contains("error: counts/lot.csv, row 3, body: found `van`; expected suv"),
        "{}",
        ran.out
    );
    let folder = OneCar::new("stock,panel,dime,body\nA1,hood,3,van\n")
        .vehicles("stock,body\nA1,suv\n")
        .folder();
    let ran = hailyard(&["check", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done);
    assert!(
        ran.out
            .contains("caution: counts/lot.csv, row 2, body: found `van`; expected suv"),
        "{}",
        ran.out
    );
}

#[test]
fn an_uncounted_car_is_in_no_total_and_counted_clean_cars_are() {
    let storm = OneCar::new("stock,hood,roof\nA1,3 dime,0\nB2,0,\nC3,,\n")
        .vehicles("stock\nA1\nB2\nC3\nD4\n");
    let tables = storm.price();
    assert_eq!(tables.car("A1", "status"), "priced");
    assert_eq!(tables.car("B2", "status"), "nothing");
    assert_eq!(tables.car("B2", "total"), "0.00");
    assert_eq!(tables.car("C3", "status"), "uncounted");
    assert_eq!(tables.car("D4", "total"), "");
    assert_eq!(tables.total("storm", "Small storm", "cars"), "2");
}

/// The first file by byte order is read first; hidden and lock files are not.
#[test]
fn hidden_and_lock_files_are_passed_over() {
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .folder()
        .file("counts/.hidden.csv", "nonsense")
        .file("counts/~$lot.xlsx", "nonsense");
    let ran = hailyard(&["check", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.out);
    assert!(ran.out.contains("0 errors, 0 cautions"), "{}", ran.out);
}

#[test]
fn two_tables_of_one_name_are_an_error() {
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .vehicles("stock\nA1\n")
        .folder()
        .file("vehicles.xlsx", "x");
    let ran = hailyard(&["check", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.out.contains("expected one file named vehicles"),
        "{}",
        ran.out
    );
}

/// The outlier caution of a lot of equal counts with one slip of the pen:
/// nine hoods of 20 to 24 dents, one of 220 (a zero too many).
#[test]
fn a_count_far_from_its_neighbours_is_a_caution() {
    let mut sheet = String::from("stock,panel,dime\n");
    for (car, dents) in [20, 21, 22, 23, 24, 20, 21, 22, 23, 220].iter().enumerate() {
        sheet.push_str(&format!("A{car},hood,{dents}\n"));
    }
    let folder = OneCar::new(&sheet).folder();
    let ran = hailyard(&["check", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done);
    assert_eq!(ran.out.matches("caution:").count(), 1, "{}", ran.out);
    assert!(
        ran.out.contains("row 11, panel: found `220 dents on hood`"),
        "{}",
        ran.out
    );
}

/// Money in a file of decimal commas with three digits after the comma.
#[test]
fn a_thousand_or_one_and_a_bit_is_a_caution() {
    let folder = OneCar::new("stock,panel,dime\nA1,hood,3\n")
        .currency("KWD")
        .vehicles("stock;value\nA1;1,234\n")
        .folder();
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(
        ran.out.contains("taken as a decimal comma, 1.234"),
        "{}",
        ran.out
    );
}

#[test]
fn no_payer_column_is_needed_with_one_payer_and_each_card_keeps_its_classes() {
    let toml = "name = \"Two\"\ncurrency = \"USD\"\n[[payer]]\nname = \"Harl Cover\"\nrate_card = \"rates/a.toml\"\n[[payer]]\nname = \"Ostrel Fleet\"\nrate_card = \"rates/b.toml\"\n";
    let other = SMALL_CARD
        .replace("dime", "small")
        .replace("Small card", "Other card");
    let folder = Folder::new()
        .file("storm.toml", toml)
        .file("rates/a.toml", SMALL_CARD)
        .file("rates/b.toml", other)
        .file(
            "vehicles.csv",
            "stock,payer\nA1,harl cover\nB2,OSTREL-FLEET\n",
        )
        .file(
            "counts/lot.csv",
            "stock,panel,dime,small\nA1,hood,3,\nB2,hood,3,1\n",
        );
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(
        ran.out.contains("error: counts/lot.csv, row 3, dime: found `dime`; expected a size class of the car's card, Other card"),
        "{}",
        ran.out
    );
    assert_eq!(ran.out.matches("error:").count(), 1, "{}", ran.out);
}

#[test]
fn a_teams_own_word_for_a_column_that_there_is_not_is_an_error_with_its_line() {
    let storm = OneCar::new("Stk,panel,dime\nA1,hood,3\n");
    let folder = storm.folder();
    let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("read");
    let folder = folder.file(
        "storm.toml",
        format!("{toml}\n[intake.columns]\nStk = \"stok\"\n"),
    );
    let ran = hailyard(&["check", &folder.arg()]);
    assert!(
        ran.out.contains(
            "error: storm.toml, line 11, Stk: found `stok`; expected a known column; probably stock"
        ),
        "{}",
        ran.out
    );
}

/// The lists know a team's own words too.
#[test]
fn own_words_hold_in_the_vehicle_list() {
    let storm = OneCar::new("Wagen,panel,dime\nA1,hood,3\n").vehicles("Wagen,Form\nA1,suv\n");
    let folder = storm.folder();
    let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("read");
    let intake = "[intake.columns]\nWagen = \"stock\"\nForm = \"body\"\n";
    let folder = folder.file("storm.toml", format!("{toml}\n{intake}"));
    let ran = hailyard(&["price", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert!(ran.out.contains("suv"), "{}", ran.out);
}

/// An invented lot of 120 cars in six rows, hoods and roofs of 12 to 45 dents,
/// with twelve planted slips, six of a zero too many and six of a figure left
/// out: eleven are found, one left-out figure is not, and nothing else is said.
#[test]
fn planted_miscounts_are_found() {
    let mut state = 77_u64;
    let mut below = |end: u64| {
        state = state * 16_807 % 2_147_483_647;
        (state / 7) % end
    };
    let (mut list, mut sheet) = (
        String::from("stock,row\n"),
        String::from("stock,panel,dime\n"),
    );
    let mut planted = std::collections::BTreeSet::new();
    for car in 0..120_u64 {
        let row = car / 20;
        list.push_str(&format!("S{car:03},R{row}\n"));
        for panel in ["hood", "roof"] {
            // The sum of three draws is bell-shaped around 27 in every row.
            let true_count = 12 + below(12) + below(12) + below(11);
            let slip = match (car % 20, panel) {
                (7, "hood") => Some(true_count * 10),
                (13, "roof") => Some(true_count / 10),
                _ => None,
            };
            if slip.is_some() {
                planted.insert((format!("S{car:03}"), panel.to_owned()));
            }
            sheet.push_str(&format!(
                "S{car:03},{panel},{}\n",
                slip.unwrap_or(true_count)
            ));
        }
    }
    let folder = OneCar::new(&sheet).vehicles(&list).folder();
    let ran = hailyard(&["check", &folder.arg()]);
    let found: std::collections::BTreeSet<(String, String)> = ran
        .out
        .lines()
        .filter(|line| line.contains("a count nearer to the other"))
        .map(|line| {
            let stock = line
                .rsplit("[car ")
                .next()
                .expect("a car")
                .trim_end_matches(']');
            let panel = if line.contains("dents on hood") {
                "hood"
            } else {
                "roof"
            };
            (stock.to_owned(), panel.to_owned())
        })
        .collect();
    let hits = planted.intersection(&found).count();
    let false_alarms = found.difference(&planted).count();
    assert_eq!(
        (planted.len(), hits, false_alarms),
        (12, 11, 0),
        "{}",
        ran.out
    );
}

/// A workbook that another program wrote (tests/data/storms/book-7401/xlsb/make.js):
/// cells in their short form, which have no column of their own, a hidden row
/// and sheet, merged stocks, an error value, a truth.
#[test]
fn a_binary_workbook_loses_no_cell_and_hides_no_row() {
    let sheet = data("odd.xlsb");
    let ran = hailyard(&["check", sheet.to_str().expect("a path")]);
    assert_eq!(ran.exit, Exit::Problems);
    for said in [
        "sheet Away: found `a hidden sheet`",
        "sheet Lot: found `a hidden row`",
        "stock (A5): found `A5:A6 merged`",
        "dime (C7): found `#N/A`",
        "dime (C8): found `TRUE`",
        "3 of 6 cars counted and sound, 3 with errors",
    ] {
        assert!(
            format!("{}{}", ran.out, ran.err).contains(said),
            "{said}: {}",
            ran.err
        );
    }
}
