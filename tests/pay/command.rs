//! `hailyard pay` as a user meets it: what it prints, what it writes, and when
//! it refuses.

use super::rules::crewed;
use crate::builder::{Folder, data, hailyard, read_csv};
use hailyard::cli::Exit;
use std::path::Path;
use tempfile::TempDir;

fn arg(path: &Path) -> &str {
    path.to_str().expect("a path in UTF-8")
}

/// A copy of a storm with a crew, so that a test may change it.
fn storm(name: &str) -> Folder {
    let from = data("pay").join(name);
    let mut folder = Folder::copy_of(&from, true);
    for list in ["crew.csv", "work.csv", "paid.csv"] {
        let bytes = std::fs::read(from.join(list)).expect("a list");
        folder = folder.file(list, bytes);
    }
    folder
}

#[test]
fn everything_is_written_and_says_the_same() {
    for name in ["worked-example", "edge-7611"] {
        let folder = data("pay").join(name);
        let out = TempDir::new().expect("a folder");
        let ran = hailyard(&["pay", arg(&folder), "--out", arg(out.path())]);
        assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
        let same = |path: &str| {
            assert_eq!(
                read_csv(&out.path().join(path)),
                read_csv(&folder.join("expected").join(path)),
                "{path}"
            );
        };
        same("pay.csv");
        let mut statements = 0;
        for entry in std::fs::read_dir(folder.join("expected/statements")).expect("statements") {
            let file = entry.expect("an entry").file_name();
            let file = file.to_str().expect("UTF-8");
            let stem = file.strip_suffix(".csv").expect("a table");
            for ending in ["csv", "html", "pdf"] {
                let path = out
                    .path()
                    .join("statements")
                    .join(format!("{stem}.{ending}"));
                assert!(path.is_file(), "{}", path.display());
            }
            statements += 1;
        }
        // Names that would be paths or formulas are neither.
        let written = std::fs::read_dir(out.path().join("statements")).expect("statements");
        assert_eq!(written.count(), 3 * statements);
        // The page leads to every statement by a link that a browser resolves to it.
        let page = std::fs::read_to_string(out.path().join("pay.html")).expect("the page");
        for link in page.split("href=\"statements/").skip(1) {
            let link = link.split('"').next().expect("its end");
            let file = percent_decoded(link);
            assert!(
                out.path().join("statements").join(&file).is_file(),
                "{file}"
            );
        }
        assert_eq!(page.matches("href=\"statements/").count(), statements);
    }
}

/// A link as a browser reads it (RFC 3986, 2.1).
fn percent_decoded(link: &str) -> String {
    let (mut bytes, mut rest) = (Vec::new(), link.as_bytes());
    while let [first, tail @ ..] = rest {
        if *first == b'%' {
            let code = std::str::from_utf8(&tail[..2]).expect("two figures");
            bytes.push(u8::from_str_radix(code, 16).expect("hexadecimal"));
            rest = &tail[2..];
        } else {
            bytes.push(*first);
            rest = tail;
        }
    }
    String::from_utf8(bytes).expect("UTF-8")
}

#[test]
fn one_person_and_one_period() {
    let folder = data("pay").join("worked-example");
    let ran = hailyard(&[
        "pay",
        arg(&folder),
        "--person",
        "BEN",
        "--period",
        "2026-06-28",
    ]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert!(ran.out.contains("Monday 2026-06-22 to Sunday 2026-06-28"));
    assert!(!ran.out.contains("2026-06-15"), "{}", ran.out);
    for amount in ["52.17", "3.25", "21.04", "61.00", "137.46"] {
        assert!(ran.out.contains(amount), "{amount} in {}", ran.out);
    }
    // The same as JSON: the rows of the known statement of that week.
    let ran = hailyard(&[
        "pay",
        arg(&folder),
        "--person",
        "Ben",
        "--period",
        "2026-06-22",
        "--json",
    ]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let rows = json["statements"][0]["rows"].as_array().expect("rows");
    let amounts: Vec<&str> = rows
        .iter()
        .map(|row| row["amount"].as_str().expect("an amount"))
        .collect();
    assert_eq!(amounts, ["52.17", "3.25", "21.04", "61.00", "137.46"]);
    for (args, said) in [
        (["--person", "Bem"], "no Bem in the crew list; probably Ben"),
        (
            ["--period", "storm"],
            "no period storm; there is 2026-06-15, 2026-06-22",
        ),
        (
            ["--period", "2026-01-01"],
            "no period 2026-01-01; there is 2026-06-15, 2026-06-22",
        ),
    ] {
        let ran = hailyard(&["pay", arg(&folder), args[0], args[1]]);
        assert_eq!(ran.exit, Exit::Usage);
        assert!(ran.err.contains(said), "{}", ran.err);
    }
}

#[test]
fn a_period_without_an_entry_still_has_its_balance() {
    let folder = storm("worked-example");
    let paid = folder.path().join("paid.csv");
    let more =
        std::fs::read_to_string(&paid).expect("the ledger") + "2026-07-01,Ada,bonus,10.00,\n";
    std::fs::write(&paid, more).expect("written");
    let out = TempDir::new().expect("a folder");
    let ask = |args: &[&str]| {
        let mut all = vec!["pay", arg(folder.path()), "--period", "2026-07-01"];
        all.extend(args);
        hailyard(&all).out
    };
    // Ben's 137.46 of the week before is carried, and he is on the list.
    let ben = ask(&["--person", "Ben", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&ben).expect("JSON");
    assert_eq!(json["statements"][0]["balance"], "137.46");
    let all = ask(&[]);
    assert!(all.contains("137.46") && all.contains("-8.93"), "{all}");
    // The files of one period lie beside those of the whole.
    hailyard(&["pay", arg(folder.path()), "--out", arg(out.path())]);
    let whole = read_csv(&out.path().join("statements/Ben.csv"));
    ask(&["--out", arg(out.path())]);
    assert_eq!(read_csv(&out.path().join("statements/Ben.csv")), whole);
    assert_eq!(
        read_csv(&out.path().join("statements/2026-06-29/Ben.csv")).len(),
        3
    );
}

#[test]
fn what_an_earlier_run_left_is_named() {
    let folder = storm("worked-example");
    let out = TempDir::new().expect("a folder");
    let run = |args: &[&str]| {
        let mut all = vec!["storm", arg(folder.path()), "--out", arg(out.path())];
        all.extend(args);
        hailyard(&all)
    };
    assert!(!run(&[]).err.contains("earlier run"));
    for list in ["crew.csv", "work.csv", "paid.csv"] {
        let path = folder.path().join(list);
        let text = std::fs::read_to_string(&path)
            .expect("a list")
            .replace("Ada", "Adele");
        std::fs::write(path, text).expect("written");
    }
    let ran = run(&[]);
    assert!(
        ran.err.contains("statements/Ada.csv, statements/Ada.html"),
        "{}",
        ran.err
    );
    std::fs::write(folder.path().join("crew.csv"), "name,pay\n").expect("written");
    let ran = run(&["--without-bad"]);
    assert!(ran.err.contains("found `no person`"), "{}", ran.err);
    assert!(ran.err.contains("pay.csv, pay.html"), "{}", ran.err);
    assert_eq!(ran.exit, Exit::Problems);
}

#[test]
fn the_sums_of_the_page_and_of_json_are_those_of_the_rows() {
    let folder = data("pay").join("worked-example");
    let ran = hailyard(&["pay", arg(&folder), "--json"]);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    // By hand from the worked example: 118.94 + 33.74; 65.90 + 43.12 + 56.79 +
    // 24.29 + 109.05 + 18.38 + 61.00; 110.66 + 87.19 + 103.55 - 79.38.
    for (key, amount) in [
        ("priced", "755.46"),
        ("shares_together", "152.68"),
        ("people_together", "378.53"),
        ("house", "222.02"),
        ("unearned", "0.00"),
        ("taxes", "2.23"),
    ] {
        assert_eq!(json[key], amount, "{key}");
    }
    assert_eq!(json["people"][0]["balance"], "-18.93");
    assert_eq!(json["people"][1]["handed_over"], "-100.00");
}

/// The rows of a table of the page, below its caption: first and amount cell.
fn table(page: &str, caption: &str, amount: usize) -> Vec<(String, rust_decimal::Decimal)> {
    let from = page.find(caption).expect("the table");
    page[from..]
        .lines()
        .skip(3)
        .take_while(|line| line.contains('|'))
        .map(|line| {
            let cells: Vec<&str> = line.split('|').map(str::trim).collect();
            let figure = cells[amount].replace(',', "");
            (cells[0].to_owned(), figure.parse().expect("an amount"))
        })
        .collect()
}

#[test]
fn the_tables_of_the_page_foot_on_every_known_storm() {
    for name in super::STORMS {
        let ran = hailyard(&["pay", arg(&data("pay").join(name))]);
        assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
        let mut house = Vec::new();
        for (caption, amount) in [
            ("What was priced, in parts", 2),
            ("What the house gets, and what it pays", 1),
        ] {
            let mut rows = table(&ran.out, caption, amount);
            let (_, foot) = rows.pop().expect("a foot");
            let sum: rust_decimal::Decimal = rows.iter().map(|(_, amount)| *amount).sum();
            assert_eq!(sum, foot, "{name}: {caption}");
            house.extend(
                rows.into_iter()
                    .find(|(to, _)| to == "house")
                    .map(|row| row.1),
            );
            house.push(foot);
        }
        // The house's row of the first is the foot of the second.
        assert_eq!(house[0], house[2], "{name}");
    }
}

#[test]
fn a_house_below_zero_is_said_before_anything_else() {
    // 100 hours at 30.00 against pools of 160.00: 160 - 3,000.
    let days: String = (10..20)
        .map(|day| format!("2026-06-{day},A,,Ada,,10,,,\n"))
        .collect();
    let folder = crewed(&days).crew("name,pay\nAda,30.00/h\n").folder();
    let ran = hailyard(&["pay", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Done);
    let loud = ran
        .out
        .find("THE HOUSE IS BELOW ZERO")
        .expect("said loudly");
    assert!(loud < ran.out.find("From the price").expect("the table"));
    assert!(
        ran.out.contains("it pays 2,840.00 more than it gets"),
        "{}",
        ran.out
    );
    // The car as such is where it pays.
    assert!(ran.out.contains("-3,000.00"));
    let out = TempDir::new().expect("a folder");
    let ran = hailyard(&["storm", &folder.arg(), "--out", arg(out.path())]);
    assert!(
        ran.out.contains("THE HOUSE IS BELOW ZERO by 2,840.00"),
        "{}",
        ran.out
    );
    let page = std::fs::read_to_string(out.path().join("pay.html")).expect("the page");
    assert!(page.contains("THE HOUSE IS BELOW ZERO"));
}

#[test]
fn a_contradiction_splits_nothing_and_prices_all_the_same() {
    let folder = crewed("2026-06-15,A,hood,Ada,,,60%,,\n2026-06-15,A,hood,Ben,,,50%,,\n").folder();
    let out = TempDir::new().expect("a folder");
    for (command, without) in [("pay", false), ("pay", true), ("storm", false)] {
        let mut args = vec![command, arg(folder.path()), "--out", arg(out.path())];
        args.extend(without.then_some("--without-bad"));
        let ran = hailyard(&args);
        assert_eq!(ran.exit, Exit::Problems);
        assert!(
            ran.err.contains("work.csv, row 3, part: found `50%`"),
            "{}",
            ran.err
        );
        assert_eq!(std::fs::read_dir(out.path()).expect("a folder").count(), 0);
    }
    // Prices need no log.
    assert_eq!(hailyard(&["price", arg(folder.path())]).exit, Exit::Done);
    let ran = hailyard(&[
        "storm",
        arg(folder.path()),
        "--out",
        arg(out.path()),
        "--without-bad",
    ]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err
            .contains("no split: crew, work and paid hold errors"),
        "{}",
        ran.err
    );
    assert!(out.path().join("storm.html").is_file());
    assert!(!out.path().join("pay.csv").exists());
}

#[test]
fn work_on_a_car_that_was_left_out_is_listed_and_its_time_paid() {
    // B has an error; two hours on it at 30.00 belong to no priced car.
    let folder = crewed("2026-06-15,B,hood,Ada,,2,,,\n")
        .car(|car| {
            let mut car = car;
            car.counts.push_str("B,hood,12 dents\n");
            car
        })
        .crew("name,pay\nAda,50% + 30.00/h\n")
        .folder();
    let out = TempDir::new().expect("a folder");
    let ran = hailyard(&[
        "pay",
        arg(folder.path()),
        "--out",
        arg(out.path()),
        "--without-bad",
    ]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err.contains("found `B`; expected a car that is priced"),
        "{}",
        ran.err
    );
    assert!(ran.out.contains("without 1 car"), "{}", ran.out);
    let rows: Vec<String> = read_csv(&out.path().join("pay.csv"))
        .into_iter()
        .map(|row| row.join("|"))
        .collect();
    assert_eq!(
        rows[1..],
        [
            "A|hood||unearned|100.00",
            "A|roof||unearned|60.00",
            "||Ada|person|60.00",
            "||house|house|-60.00",
        ]
    );
    let statement = read_csv(&out.path().join("statements/Ada.csv"));
    assert_eq!(statement[2][4], "B");
    assert_eq!(statement[2][12], "the car is left out: only time is paid");
}

#[test]
fn an_owner_stands_on_no_page_of_a_technician() {
    let folder = crewed("2026-06-15,A,,Ada,,,,,\n")
        .car(|car| car.vehicles("stock,owner,claim,plate\nA,Orla Penhallick,CL-77,LXD 255\n"))
        .folder();
    let out = TempDir::new().expect("a folder");
    let ran = hailyard(&["pay", arg(folder.path()), "--out", arg(out.path())]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    for file in ["Ada.html", "Ada.csv"] {
        let text = std::fs::read_to_string(out.path().join("statements").join(file)).expect(file);
        for secret in ["Penhallick", "CL-77", "LXD 255"] {
            assert!(!text.contains(secret), "{secret} in {file}");
        }
    }
}

#[test]
fn without_a_crew_all_is_not_yet_earned() {
    let folder = crewed("").folder();
    std::fs::remove_file(folder.path().join("crew.csv")).expect("removed");
    std::fs::remove_file(folder.path().join("work.csv")).expect("removed");
    let ran = hailyard(&["pay", arg(folder.path())]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert!(ran.out.contains("no crew list"), "{}", ran.out);
    // Nothing to say of a split, so `storm` writes none.
    let out = TempDir::new().expect("a folder");
    let ran = hailyard(&["storm", arg(folder.path()), "--out", arg(out.path())]);
    assert_eq!(ran.exit, Exit::Done);
    assert!(!out.path().join("pay.csv").exists());
    // A log without a list of its people is an error of both.
    std::fs::write(
        folder.path().join("work.csv"),
        "date,stock,person\n2026-06-15,A,Ada\n",
    )
    .expect("written");
    let ran = hailyard(&["pay", arg(folder.path())]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err.contains("work.csv: found `no crew list`"),
        "{}",
        ran.err
    );
}

#[test]
fn storm_writes_the_split_beside_its_reports() {
    let folder = storm("plain-7602");
    let out = TempDir::new().expect("a folder");
    let ran = hailyard(&["storm", arg(folder.path()), "--out", arg(out.path())]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let expected = data("pay").join("plain-7602/expected");
    assert_eq!(
        read_csv(&out.path().join("pay.csv")),
        read_csv(&expected.join("pay.csv"))
    );
    for file in [
        "pay.html",
        "pay.pdf",
        "pay.txt",
        "statements/Orla Quist.pdf",
    ] {
        assert!(out.path().join(file).is_file(), "{file}");
    }
    let index = std::fs::read_to_string(out.path().join("index.html")).expect("the index");
    assert!(index.contains("pay.html"));
    // Only the tables: no page of it.
    let out = TempDir::new().expect("a folder");
    hailyard(&[
        "storm",
        arg(folder.path()),
        "--out",
        arg(out.path()),
        "--only",
        "tables",
    ]);
    assert!(out.path().join("pay.csv").is_file() && !out.path().join("pay.html").exists());
}

/// A crew kept in a workbook: percentages are cells of 0.45, days are dates.
#[test]
fn a_crew_of_a_workbook_is_the_same_crew() {
    use rust_xlsxwriter::{ExcelDateTime, Format, Workbook};
    let folder = crewed("2026-06-15,A,hood,Ada,,,2/3,,\n2026-06-15,A,hood,Ben,,,1/3,,\n").folder();
    let plain = hailyard(&["pay", arg(folder.path()), "--json"]);
    assert_eq!(plain.exit, Exit::Done, "{}", plain.err);
    std::fs::remove_file(folder.path().join("crew.csv")).expect("removed");
    std::fs::remove_file(folder.path().join("work.csv")).expect("removed");
    let day = Format::new().set_num_format("yyyy-mm-dd");
    let percent = Format::new().set_num_format("0%");
    let mut crew = Workbook::new();
    let sheet = crew.add_worksheet();
    for (column, head) in ["name", "pay"].into_iter().enumerate() {
        sheet
            .write(0, u16::try_from(column).expect("few"), head)
            .expect("written");
    }
    for (row, (name, pay)) in [("Ada", 0.5), ("Ben", 0.4), ("Cyd", 0.3)]
        .into_iter()
        .enumerate()
    {
        let row = u32::try_from(row + 1).expect("few");
        sheet.write(row, 0, name).expect("written");
        sheet
            .write_with_format(row, 1, pay, &percent)
            .expect("written");
    }
    crew.save(folder.path().join("crew.xlsx")).expect("saved");
    let mut work = Workbook::new();
    let sheet = work.add_worksheet();
    for (column, head) in ["date", "stock", "panel", "person", "part"]
        .into_iter()
        .enumerate()
    {
        sheet
            .write(0, u16::try_from(column).expect("few"), head)
            .expect("written");
    }
    let date = ExcelDateTime::from_ymd(2026, 6, 15).expect("a day");
    for (row, (name, part)) in [("Ada", "2/3"), ("Ben", "1/3")].into_iter().enumerate() {
        let row = u32::try_from(row + 1).expect("few");
        sheet
            .write_with_format(row, 0, &date, &day)
            .expect("written");
        for (column, text) in [(1, "A"), (2, "hood"), (3, name), (4, part)] {
            sheet.write(row, column, text).expect("written");
        }
    }
    work.save(folder.path().join("work.xlsx")).expect("saved");
    let book = hailyard(&["pay", arg(folder.path()), "--json"]);
    assert_eq!(book.exit, Exit::Done, "{}", book.err);
    assert_eq!(book.out, plain.out);
}
