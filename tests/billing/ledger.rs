//! The bill ledger: numbers go up by one and are never used twice, rows are only
//! put behind those that are there, and whoever edits it is told where.

use super::accounts::{books, issue, ledger, rows};
use crate::builder::hailyard;
use hailyard::cli::Exit;
use std::path::Path;

const HEAD: &str = "number,date,due,kind,to,stock,of,dents,removal,parts,extra,conventional,tax,not_approved,other_part,credit,amount,tax_rates\n";

fn approved() -> super::accounts::Books {
    books().agreed("A,,,approved,160.00,Ann,2026-06-20,\nB,,,approved,100.00,Ann,2026-06-20,\nC,,,approved,60.00,Ann,2026-06-20,\n")
}

fn bills(folder: &Path, more: &[&str]) -> crate::builder::Ran {
    let path = folder.to_str().expect("a path in UTF-8");
    let mut args = vec!["bills", path, "--on", "2026-07-01"];
    args.extend(more);
    hailyard(&args)
}

#[test]
fn numbers_go_on_and_old_rows_stay_byte_for_byte() {
    let folder = approved()
        .toml("[bills]\nprefix = \"SM-\"\nfirst = 7\n")
        .folder();
    let ran = bills(folder.path(), &["--issue", "--car", "B"]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let first = ledger(folder.path());
    assert_eq!(
        first,
        format!(
            "{HEAD}SM-7,2026-07-01,2026-07-31,bill,Harl Cover,B,,100.00,0.00,0.00,0.00,0.00,0.00,0.00,-50.00,0.00,50.00,\nSM-8,2026-07-01,2026-07-31,bill,owner,B,,0.00,0.00,0.00,0.00,0.00,0.00,0.00,50.00,0.00,50.00,\n"
        )
    );
    // As a spreadsheet program may leave it: other line ends, none at the end.
    let first = first.replace('\n', "\r\n");
    let first = first.trim_end().to_owned();
    std::fs::write(folder.path().join("bills.csv"), &first).expect("a file");
    issue(folder.path(), "2026-07-02");
    let second = ledger(folder.path());
    assert!(second.starts_with(&first), "{second}");
    let numbers: Vec<String> = rows(folder.path())
        .iter()
        .map(|row| row.split('|').next().unwrap_or_default().to_owned())
        .collect();
    assert_eq!(numbers, ["SM-7", "SM-8", "SM-9", "SM-10", "SM-11", "SM-12"]);
    // Nothing but the ledger was left beside the inputs.
    let mut names: Vec<String> = std::fs::read_dir(folder.path())
        .expect("a folder")
        .map(|entry| {
            entry
                .expect("an entry")
                .file_name()
                .into_string()
                .expect("UTF-8")
        })
        .collect();
    names.sort();
    assert_eq!(
        names,
        ["agreed.csv", "bills.csv", "counts", "rates", "storm.toml"]
    );
}

/// One bill a payer, by storm.toml or by the option; owners' are their cars' own.
#[test]
fn a_payers_cars_stand_together_where_that_is_asked() {
    let by_file = approved().toml("[bills]\nper = \"payer\"\n").folder();
    issue(by_file.path(), "2026-07-01");
    let by_option = approved().folder();
    let ran = bills(by_option.path(), &["--issue", "--per", "payer"]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let expected = [
        "1|2026-07-01|bill|Harl Cover|A|110.00",
        "1|2026-07-01|bill|Harl Cover|B|50.00",
        "1|2026-07-01|bill|Harl Cover|C|10.00",
        "2|2026-07-01|bill|owner|A|50.00",
        "3|2026-07-01|bill|owner|B|50.00",
        "4|2026-07-01|bill|owner|C|50.00",
    ];
    assert_eq!(rows(by_file.path()), expected);
    assert_eq!(rows(by_option.path()), expected);
}

#[test]
fn an_edited_ledger_is_told_where() {
    let row = |number: &str, stock: &str, amount: &str| {
        format!(
            "{number},2026-07-01,2026-07-31,bill,Harl Cover,{stock},,{amount},0.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,{amount},\n"
        )
    };
    for (text, said) in [
        (
            row("1", "A", "160.00") + &row("3", "B", "100.00"),
            "bills.csv, row 3, number: found `3`; expected the next number, which ends in 2",
        ),
        (
            row("2", "A", "160.00") + &row("1", "B", "100.00"),
            "bills.csv, row 3, number: found `1`; expected the next number, which ends in 3",
        ),
        (
            row("1", "A", "160.00") + &row("1", "B", "100.00").replace("07-31", "08-31"),
            "bills.csv, row 3, number: found `1`; expected one date, due day, kind and debtor",
        ),
        (
            row("1", "A", "160.00").replace(",160.00,\n", ",150.00,\n"),
            "bills.csv, row 2, amount: found `150.00`; expected the sum of its parts, 160.00",
        ),
        (
            row("1", "A", "160.00").replace(
                "160.00,0.00,0.00,0.00,0.00,0.00,",
                "150.00,0.00,0.00,0.00,0.00,10.00,",
            ),
            "bills.csv, row 2, tax_rates: nothing found; expected the rates of its tax",
        ),
        (
            row("1", "A", "160.00").replace(
                "160.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,160.00,\n",
                "150.00,0.00,0.00,0.00,0.00,10.00,0.00,0.00,0.00,160.00,dents 6.66666\n",
            ),
            "bills.csv, row 2, tax_rates: found `dents 6.66666`; expected percents by group with at most three decimals, such as parts 7.55; extra 7.55",
        ),
        (
            row("one", "A", "160.00"),
            "bills.csv, row 2, number: found `one`; expected a bill's number",
        ),
        (
            row("1", "A", "160.00") + &row("1", "A", "160.00"),
            "bills.csv, row 3, stock: found `A`; expected a car once on a bill",
        ),
        (
            row("1", "A", "160.00") + &row("2", "B", "100.00").replace("2026-07-01", "2026-06-30"),
            "bills.csv, row 3, number: found `2`; expected bills in the order of their days; the one above is of 2026-07-01",
        ),
        (
            row("1", "A", "160.00").replace(",bill,", ",credit,"),
            "bills.csv, row 2, kind: found `credit`; expected in a credit nothing but the credit",
        ),
        (
            row("1", "A", "160.00").replace(",bill,", ",correction,"),
            "bills.csv, row 2, kind: found `correction`; expected a supplement",
        ),
        (
            row("1", "A", "-160.00"),
            "bills.csv, row 2, kind: found `bill`; expected a correction",
        ),
        (
            row("1", "A", "160.00").replace("Harl Cover", "owner"),
            "bills.csv, row 2, kind: found `bill`; expected of an owner nothing but the other part",
        ),
        (
            row("1", "A", "160.00").replace("2026-07-31", "2026-06-30"),
            "bills.csv, row 2, kind: found `bill`; expected a due day on or after the bill's",
        ),
        (
            row("1", "A", "160.00").replace("0.00,0.00,160.00,\n", "0.00,5.00,165.00,\n"),
            "bills.csv, row 2, kind: found `bill`; expected a credit at most 0",
        ),
    ] {
        let folder = approved().bills(&format!("{HEAD}{text}")).folder();
        let ran = bills(folder.path(), &["--issue"]);
        assert_eq!(ran.exit, Exit::Problems);
        assert!(ran.err.contains(said), "{said}\n{}", ran.err);
        // Nothing was put behind it.
        assert_eq!(ledger(folder.path()), format!("{HEAD}{text}"));
        // A price needs no bills.
        let priced = hailyard(&["price", &folder.arg()]);
        assert_eq!(priced.exit, Exit::Done, "{}", priced.err);
    }
}

/// A payer that was renamed, and a car that the list names no longer: what was
/// billed stays billed, and is said.
#[test]
fn old_bills_outlive_names_and_lists() {
    let row = |number: &str, to: &str, stock: &str| {
        format!(
            "{number},2026-07-01,2026-07-31,bill,{to},{stock},,100.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,100.00,\n"
        )
    };
    let text = HEAD.to_owned()
        + &row("1", "Harl Assurance", "B")
        + &row("2", "Harl Assurance", "A")
        + &row("3", "Harl Cover", "Z");
    let folder = approved()
        .bills(&text)
        .received("2026-07-03,Z,,60.00,,\n")
        .folder();
    let (json, err) = super::accounts::accounts(folder.path(), "2026-07-10");
    for said in [
        "bills.csv, row 2, to: found `Harl Assurance`; expected a payer of storm.toml, or owner; it is taken for the car's payer",
        "bills.csv, row 2, to: found `Harl Assurance`; expected Harl Cover, who pays this car now",
        "bills.csv, row 4, stock: found `Z`; expected a stock of the storm; what was billed on it stands apart",
        "received.csv, row 2, stock: found `Z`; expected a stock of the storm; it was billed, and stands apart",
    ] {
        assert!(err.contains(said), "{said}\n{err}");
    }
    assert_eq!(err.matches("it is taken for the car's payer").count(), 1);
    assert_eq!(
        (&json["billed"], &json["received"]),
        (&"200.00".into(), &"0.00".into())
    );
    let shown = hailyard(&["bills", &folder.arg(), "--on", "2026-07-10"]);
    let words: Vec<&str> = shown.out.split_whitespace().collect();
    let said = "100.00 was billed on them and 60.00 received";
    assert!(words.join(" ").contains(said), "{}", shown.out);
}

#[test]
fn a_ledger_in_another_encoding_is_not_added_to() {
    let folder = approved().folder();
    let row = "1,2026-07-01,2026-07-31,bill,Harl Cover,A,cr\u{e8}me,100.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,0.00,100.00,\n";
    let bytes: Vec<u8> = format!("{HEAD}{row}").chars().map(|c| c as u8).collect();
    let folder = folder.file("bills.csv", &bytes);
    let ran = bills(folder.path(), &["--issue"]);
    assert_eq!(ran.exit, Exit::Failed);
    assert!(ran.err.contains("it is not UTF-8"), "{}", ran.err);
    assert_eq!(
        std::fs::read(folder.path().join("bills.csv")).expect("a file"),
        bytes
    );
}

/// A place where no bill can lie is refused before a number is given out.
#[test]
fn a_wrong_place_for_bills_uses_up_no_number() {
    let folder = approved().folder();
    let path = folder.arg();
    let ran = bills(folder.path(), &["--issue", "--out", &path]);
    assert_eq!(ran.exit, Exit::Failed);
    assert!(
        ran.err.contains("reports go to a folder of their own"),
        "{}",
        ran.err
    );
    assert!(!folder.path().join("bills.csv").exists());
    assert!(!folder.path().join(".bills.csv.held").exists());
}

/// A slip in the day can't be taken back once it is numbered.
#[test]
fn a_day_that_can_not_be_is_refused() {
    let folder = approved().folder();
    for (on, said) in [
        ("2026-06-13", "the hail was on 2026-06-14"),
        ("2026-06-19", "car A was decided on 2026-06-20"),
        (
            "2062-07-01",
            "the last entry of the books is of 2026-06-20; is the year right?",
        ),
    ] {
        let ran = hailyard(&["bills", &folder.arg(), "--issue", "--on", on]);
        assert_eq!(ran.exit, Exit::Usage);
        assert!(ran.err.contains(said), "{said}\n{}", ran.err);
    }
    assert!(!folder.path().join("bills.csv").exists());
}

#[cfg(unix)]
#[test]
fn a_link_to_a_ledger_stays_one() {
    let shared = crate::builder::Folder::new();
    let folder = approved().folder();
    let real = shared.path().join("shared.csv");
    std::fs::write(&real, HEAD).expect("a file");
    std::os::unix::fs::symlink(&real, folder.path().join("bills.csv")).expect("a link");
    issue(folder.path(), "2026-07-01");
    assert_eq!(
        std::fs::read_to_string(&real)
            .expect("the ledger")
            .lines()
            .count(),
        7
    );
    let link = folder.path().join("bills.csv");
    assert!(
        std::fs::symlink_metadata(link)
            .expect("a link")
            .is_symlink()
    );
}

#[test]
fn no_row_goes_behind_other_columns() {
    let folder = approved().bills("stock,number\n").folder();
    let ran = bills(folder.path(), &["--issue"]);
    assert_eq!(ran.exit, Exit::Failed);
    assert!(
        ran.err.contains("its first row is not `number,date,due,"),
        "{}",
        ran.err
    );
    assert_eq!(ledger(folder.path()), "stock,number\n");
}

#[test]
fn a_workbook_of_bills_is_not_added_to() {
    let folder = approved().folder().file("Bills.xlsx", "");
    let ran = bills(folder.path(), &["--issue"]);
    assert_eq!(ran.exit, Exit::Usage);
    assert!(ran.err.contains("bills stand in Bills.xlsx"), "{}", ran.err);
    assert!(!folder.path().join("bills.csv").exists());
}

#[test]
fn two_runs_never_give_out_one_number() {
    let folder = approved().folder();
    let folder = folder.file(".bills.csv.held", "process 1\n");
    let ran = bills(folder.path(), &["--issue"]);
    assert_eq!(ran.exit, Exit::Failed);
    assert!(
        ran.err.contains("delete") && ran.err.contains(".bills.csv.held"),
        "{}",
        ran.err
    );
    assert!(!folder.path().join("bills.csv").exists());
    // Whoever only looks needs no hold; and it stays who holds it.
    assert_eq!(bills(folder.path(), &[]).exit, Exit::Done);
    assert!(folder.path().join(".bills.csv.held").exists());
    // Eight at once: whoever can't hold it says so, and no number comes twice.
    std::fs::remove_file(folder.path().join(".bills.csv.held")).expect("a file");
    let path = folder.path();
    std::thread::scope(|threads| {
        for _ in 0..8 {
            threads.spawn(|| {
                let ran = bills(path, &["--issue"]);
                assert!(matches!(ran.exit, Exit::Done | Exit::Failed), "{}", ran.err);
            });
        }
    });
    assert_eq!(rows(path).len(), 6, "{:?}", rows(path));
}

#[test]
fn what_can_not_be_billed_is_refused_whole() {
    // The demo lies in the program.
    let ran = hailyard(&["bills", "--issue"]);
    assert_eq!(ran.exit, Exit::Usage);
    assert!(
        ran.err.contains("--issue writes into the storm's folder"),
        "{}",
        ran.err
    );
    // Bills stand in the order of their days.
    let folder = approved().folder();
    let ran = bills(folder.path(), &["--issue", "--car", "A"]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let before = ledger(folder.path());
    let ran = hailyard(&["bills", &folder.arg(), "--issue", "--on", "2026-06-30"]);
    assert_eq!(ran.exit, Exit::Usage);
    assert!(
        ran.err.contains("the last bill is of 2026-07-01"),
        "{}",
        ran.err
    );
    // Errors anywhere forbid it: leaving cars out would change tiers and prices.
    let folder = folder.file("counts/more.csv", "stock,panel,dime\nD,hood,many\n");
    let ran = bills(folder.path(), &["--issue"]);
    assert_eq!(ran.exit, Exit::Problems);
    let ran = bills(folder.path(), &["--issue", "--without-bad"]);
    assert_eq!(ran.exit, Exit::Usage);
    assert_eq!(ledger(folder.path()), before);
    for (option, name, said) in [
        ("--car", "Z", "no car Z"),
        (
            "--payer",
            "Harl Covr",
            "no payer Harl Covr; probably Harl Cover",
        ),
    ] {
        let ran = hailyard(&["bills", &approved().folder().arg(), option, name]);
        assert_eq!(ran.exit, Exit::Usage);
        assert!(ran.err.contains(said), "{}", ran.err);
    }
}
