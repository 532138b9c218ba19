//! What came in, and everything that can be wrong with it: each with its place.

use super::accounts::{Books, accounts, books, fields, issue};
use crate::builder::hailyard;
use hailyard::cli::Exit;

/// A and B approved and billed: A 110.00, B 50.00, owners 50.00 each.
fn billed() -> (Books, String) {
    let books = books()
        .agreed("A,,,approved,160.00,Ann,2026-06-20,\nB,,,approved,100.00,Ann,2026-06-20,\n");
    let folder = books.folder();
    issue(folder.path(), "2026-07-01");
    let bills = super::accounts::ledger(folder.path());
    (books, bills)
}

#[test]
fn every_error_has_its_place() {
    let (books, bills) = billed();
    let folder = books
        .bills(&bills)
        .received("2026-07-03,a,,10.00,,\n")
        .received("2026-07-03,A,Harl Covr,10.00,,\n")
        .received("03.07.2026,A,,10.00,,\n")
        .received("2026-07-03,A,,,,\n")
        .received("2026-07-03,A,,0,,\n")
        .received("2026-07-03,A,,10.005,,\n")
        .received("2026-07-03,A,,\"1,000.00\",,\n")
        .received("2026-07-04,B,,20.00,cheque 7,\n")
        .received("2026-07-04,B,Harl Cover,20.00,cheque 7,\n")
        .received("2026-07-04,B,,20.00,cheque 8,\n")
        .received("2026-07-04,B,,10.00,,3\n")
        .received("2026-07-04,,,10.00,,33\n")
        .received("2026-07-04,,owner,10.00,,3\n")
        .received("2026-07-04,,,10.00,,\n")
        .received("2026-07-05,A,owner,-1.00,,\n")
        .folder();
    let ran = hailyard(&["bills", &folder.arg(), "--on", "2026-07-10"]);
    assert_eq!(ran.exit, Exit::Problems);
    let said: Vec<&str> = ran
        .err
        .lines()
        .filter(|line| line.starts_with("error: received.csv"))
        .collect();
    let expected = [
        "row 2, stock: found `a`; expected a stock of the storm; probably A",
        "row 3, from: found `Harl Covr`; expected the car's payer, Harl Cover, or owner; probably Harl Cover",
        "row 4, date: found `03.07.2026`; expected a day as YYYY-MM-DD; probably 2026-07-03 or 2026-03-07",
        "row 5, amount: nothing found; expected the amount",
        "row 6, amount: found `0`; expected an amount other than 0",
        "row 7, amount: found `10.005`; expected no finer than the currency's 2 places",
        "row 8, amount: found `1,000.00`; expected money; below 0 where it went back; probably 1000.00",
        "row 10, stock: found `B`; expected a receipt once; the same stands at row 9",
        "row 12, bill: found `3`; expected a stock or a bill, not both",
        "row 13, bill: found `33`; expected the number of a bill in bills.csv",
        "row 14, from: found `owner`; expected Harl Cover, who was billed, or blank",
        "row 15, stock: nothing found; expected a stock; or in the column `bill` a bill's number",
        "row 16, amount: found `-1.00`; expected no more than came in before, 0.00",
    ];
    assert_eq!(said.len(), expected.len(), "{}", ran.err);
    for (line, expected) in said.iter().zip(expected) {
        assert!(line.contains(expected), "{line}\n{expected}");
    }
    // A price needs none of it; `check` says all of it.
    assert_eq!(hailyard(&["price", &folder.arg()]).exit, Exit::Done);
    let checked = hailyard(&["check", &folder.arg()]);
    assert_eq!(checked.exit, Exit::Problems);
    for line in said {
        assert!(checked.out.contains(line), "{line}");
    }
}

/// Money is never turned away: what is odd about it is said, and it counts.
#[test]
fn what_is_odd_is_said_and_counts() {
    let (books, bills) = billed();
    let folder = books
        .bills(&bills)
        .received("2026-06-10,A,,30.00,early,\n2026-07-03,A,,100.00,,\n2026-07-03,C,,5.00,,\n")
        .folder();
    let (json, err) = accounts(folder.path(), "2026-07-10");
    for said in [
        "received.csv, row 2, date: found `2026-06-10`; expected money after the payer's yes, which is of 2026-06-20 [car A]",
        // 110.00 was billed and 30.00 came before.
        "received.csv, row 3, amount: found `100.00`; expected at most what is open of its bills, 80.00: 20.00 too much [car A]",
        "received.csv, row 4, date: found `2026-07-03`; expected money for a car that its payer approved: there is no yes to it [car C]",
        "received.csv, row 4, amount: found `5.00`; expected at most what is open of its bills, 0.00: 5.00 too much [car C]",
    ] {
        assert!(err.contains(said), "{said}\n{err}");
    }
    let open = ["payer_received", "payer_open"];
    assert_eq!(fields(&json, "cars", "A", &open), ["130.00", "-20.00"]);
    assert_eq!(fields(&json, "cars", "C", &open), ["5.00", "-5.00"]);
    assert_eq!(json["over"], "25.00");
}

/// 100.00 for a bill of A 110.00, B 50.00: A gets all of it. 75.00 more: 10.00 are
/// left of A, 50.00 of B, and 15.00 too much stand on B, the last. Back go 20.00:
/// the 15.00, and for the rest the last again.
#[test]
fn money_for_a_bill_goes_to_its_cars_in_order() {
    let books = books()
        .toml("[bills]\nper = \"payer\"\n")
        .agreed("A,,,approved,160.00,Ann,2026-06-20,\nB,,,approved,100.00,Ann,2026-06-20,\n");
    let folder = books.folder();
    issue(folder.path(), "2026-07-01");
    let mut text = "date,stock,from,amount,note,bill\n".to_owned();
    let mut folder = folder;
    for (row, a, b) in [
        ("2026-07-03,,Harl Cover,100.00,,1\n", "100.00", "0.00"),
        ("2026-07-04,,,75.00,,1\n", "110.00", "65.00"),
        ("2026-07-05,,,-20.00,back,1\n", "110.00", "45.00"),
    ] {
        text.push_str(row);
        folder = folder.file("received.csv", &text);
        let (json, _) = accounts(folder.path(), "2026-07-10");
        let of = |stock| fields(&json, "cars", stock, &["payer_received"]);
        assert_eq!(
            (of("A"), of("B")),
            (vec![a.to_owned()], vec![b.to_owned()]),
            "{row}"
        );
    }
}

/// Bills of A 110.00 and B 50.00. A is corrected by 20.00, so 140.00 for the bill is
/// all of it: nothing is open and nothing over.
#[test]
fn money_for_a_bill_minds_later_corrections() {
    let agreed = "A,,,approved,160.00,Ann,2026-06-20,\nB,,,approved,100.00,Ann,2026-06-20,\n";
    let books = books().toml("[bills]\nper = \"payer\"\n").agreed(agreed);
    let folder = books.folder();
    issue(folder.path(), "2026-07-01");
    let head = "stock,panel,group,item,amount,by,date,note\n";
    let folder = folder.file(
        "agreed.csv",
        format!("{head}{agreed}A,,,approved,140.00,Ann,2026-07-02,\n"),
    );
    issue(folder.path(), "2026-07-03");
    let folder = folder.file(
        "received.csv",
        "date,stock,from,amount,note,bill\n2026-07-04,,,140.00,,1\n",
    );
    let (json, err) = accounts(folder.path(), "2026-07-10");
    assert!(!err.contains("received.csv"), "{err}");
    for stock in ["A", "B"] {
        assert_eq!(fields(&json, "cars", stock, &["payer_open"]), ["0.00"]);
    }
}

/// The supplement of 20.00 (bill 5) is paid first, then bill 1 in full, 160.00; then
/// 15.00 too much for B, which go back by the bill's number.
#[test]
fn bills_may_be_paid_in_any_order() {
    let books = books()
        .toml("[bills]\nper = \"payer\"\n")
        .agreed("A,,dents,crease,20.00,Ann,2026-06-18,\nA,,,approved,160.00,Ann,2026-06-20,\nB,,,approved,100.00,Ann,2026-06-20,\n");
    let folder = books.folder();
    issue(folder.path(), "2026-07-01");
    let agreed = std::fs::read_to_string(folder.path().join("agreed.csv")).expect("a list");
    let mut folder = folder.file(
        "agreed.csv",
        agreed + "A,,,approved crease,20.00,Ann,2026-07-02,\n",
    );
    issue(folder.path(), "2026-07-03");
    let number = super::accounts::rows(folder.path()).pop().expect("a row");
    let number = number.split('|').next().expect("a number").to_owned();
    let mut text = "date,stock,from,amount,note,bill\n".to_owned();
    for (row, open) in [
        (
            format!("2026-07-04,,,20.00,,{number}\n"),
            ["110.00", "50.00"],
        ),
        ("2026-07-05,,,160.00,,1\n".to_owned(), ["0.00", "0.00"]),
        ("2026-07-06,B,,15.00,,\n".to_owned(), ["0.00", "-15.00"]),
        ("2026-07-07,,,-15.00,,1\n".to_owned(), ["0.00", "0.00"]),
    ] {
        text.push_str(&row);
        folder = folder.file("received.csv", &text);
        let (json, _) = accounts(folder.path(), "2026-07-10");
        let of = |stock| fields(&json, "cars", stock, &["payer_open"]);
        assert_eq!([of("A"), of("B")].concat(), open, "{row}");
    }
}

/// A supplement of A's 20.00 came after the bill that is paid here: of 155.00 for
/// bill 1 the 110.00 of A and 45.00 of B are paid, and the supplement is open.
#[test]
fn money_for_a_bill_pays_no_later_one() {
    let books = books()
        .toml("[bills]\nper = \"payer\"\n")
        .agreed("A,,dents,crease,20.00,Ann,2026-06-18,\nA,,,approved,160.00,Ann,2026-06-20,\nB,,,approved,100.00,Ann,2026-06-20,\n");
    let folder = books.folder();
    issue(folder.path(), "2026-07-01");
    let agreed = std::fs::read_to_string(folder.path().join("agreed.csv")).expect("a list");
    let folder = folder
        .file(
            "agreed.csv",
            agreed + "A,,,approved crease,20.00,Ann,2026-07-02,\n",
        )
        .file(
            "received.csv",
            "date,stock,from,amount,note,bill\n2026-07-04,,,155.00,,1\n",
        );
    issue(folder.path(), "2026-07-03");
    let (json, _) = accounts(folder.path(), "2026-07-10");
    let of = |stock| fields(&json, "cars", stock, &["payer_billed", "payer_received"]);
    assert_eq!(of("A"), ["130.00", "110.00"]);
    assert_eq!(of("B"), ["50.00", "45.00"]);
}

#[test]
fn a_car_with_an_open_quote_is_not_billed() {
    // A 47 mm dent has no price on this card: it waits for a written quote.
    let mut books = books().agreed("A,,,approved,160.00,Ann,2026-06-20,\n");
    books.car.counts = books
        .car
        .counts
        .replace("stock,panel,dime", "stock,panel,dime,oversize");
    books.car.counts = books.car.counts.replace("A,hood,10\n", "A,hood,10,47\n");
    books.car.counts = books.car.counts.replace("A,roof,3\n", "A,roof,3,\n");
    books.car.counts = books
        .car
        .counts
        .replace("B,hood,10\n", "B,hood,10,\n")
        .replace("C,hood,3\n", "C,hood,3,\n");
    let folder = books.folder();
    let said = issue(folder.path(), "2026-07-01");
    assert!(said.contains("nothing to bill"), "{said}");
    assert!(!folder.path().join("bills.csv").exists());
    let (json, err) = accounts(folder.path(), "2026-07-01");
    assert_eq!(fields(&json, "cars", "A", &["state"]), ["quote"]);
    assert!(
        err.contains("agreed.csv, row 2, item: found `approved`; expected a price that is whole"),
        "{err}"
    );
    // And one that was billed before the dent was found.
    let head = "number,date,due,kind,to,stock,of,dents,removal,parts,extra,conventional,tax,not_approved,other_part,credit,amount,tax_rates\n";
    let folder = folder.file(
        "bills.csv",
        format!("{head}1,2026-07-01,2026-07-31,bill,Harl Cover,A,,160.00,0.00,0.00,0.00,0.00,0.00,0.00,-50.00,0.00,110.00,\n"),
    );
    let (_, err) = accounts(folder.path(), "2026-07-01");
    assert!(
        err.contains(
            "bills.csv, row 2, stock: found `1`; expected no bill for a car with an open quote"
        ),
        "{err}"
    );
}

#[test]
fn every_error_of_a_decision_has_its_place() {
    let folder = books()
        .agreed("A,,,approved,,Ann,2026-06-20,\n")
        .agreed("A,,,approved,10.00,,2026-06-20,\n")
        .agreed("A,,,approved,10.00,Ann,June 20,\n")
        .agreed("A,,,refused,10.00,Ann,2026-06-20,\n")
        .agreed("B,,,approved,90.00,Ann,2026-06-20,\n")
        .agreed("B,,,approved,95.00,Ann,2026-06-20,\n")
        .agreed("B,,,approved rail,95.00,Ann,2026-06-20,\n")
        .agreed("C,hoood,,approved,10.00,Ann,2026-06-20,\n")
        .folder();
    let ran = hailyard(&["check", &folder.arg()]);
    let said: Vec<&str> = ran
        .out
        .lines()
        .filter(|line| line.starts_with("error: agreed.csv"))
        .collect();
    let expected = [
        "row 2, amount: nothing found; expected the amount agreed",
        "row 3, by: nothing found; expected who decided",
        "row 4, date: found `June 20`; expected a day as YYYY-MM-DD",
        "row 5, amount: found `10.00`; expected no amount where the payer refused",
        "row 7, item: found `approved`; expected one decision a day on the same thing; first at row 6",
        "row 9, panel: found `hoood`; expected a panel, or blank; probably hood",
    ];
    assert_eq!(said.len(), expected.len(), "{}", ran.out);
    for (line, expected) in said.iter().zip(expected) {
        assert!(line.contains(expected), "{line}\n{expected}");
    }
    // No price hangs on a decision.
    let priced = hailyard(&["price", &folder.arg()]);
    assert_eq!(priced.exit, Exit::Done, "{}", priced.err);
    assert_eq!(hailyard(&["bills", &folder.arg()]).exit, Exit::Problems);
}
