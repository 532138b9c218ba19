//! Cars from their price to what is open, worked by hand. The card prices a hood
//! of ten dimes at 100.00 and one of three at 60.00; owners bear 50.00.

use crate::builder::{Folder, OneCar, hailyard, read_csv};
use hailyard::cli::Exit;
use serde_json::Value;
use std::path::Path;
use tempfile::TempDir;

/// A storm with books.
pub struct Books {
    pub car: OneCar,
    agreed: String,
    received: String,
    bills: Option<String>,
    more: String,
}

/// Cars A (160.00), B (100.00) and C (60.00).
pub fn books() -> Books {
    let counts = "stock,panel,dime\nA,hood,10\nA,roof,3\nB,hood,10\nC,hood,3\n";
    let car = OneCar::new(counts).card_with(
        r#"dime = ["10.00", "20.00", "30.00"]"#,
        r#"dime = ["60.00", "100.00", "30.00"]"#,
    );
    Books {
        car: car.terms("deductible = \"50.00\""),
        agreed: String::new(),
        received: String::new(),
        bills: None,
        more: String::new(),
    }
}

impl Books {
    pub fn agreed(mut self, rows: &str) -> Books {
        self.agreed.push_str(rows);
        self
    }

    pub fn received(mut self, rows: &str) -> Books {
        self.received.push_str(rows);
        self
    }

    /// The ledger as an earlier run left it.
    pub fn bills(mut self, text: &str) -> Books {
        self.bills = Some(text.to_owned());
        self
    }

    /// Adds to the end of storm.toml.
    pub fn toml(mut self, more: &str) -> Books {
        self.more.push_str(more);
        self
    }

    pub fn folder(&self) -> Folder {
        let mut folder = self.car.folder();
        let toml = folder.path().join("storm.toml");
        let text = std::fs::read_to_string(toml).expect("storm.toml");
        folder = folder.file("storm.toml", format!("{text}\n{}", self.more));
        if !self.agreed.is_empty() {
            let head = "stock,panel,group,item,amount,by,date,note\n";
            folder = folder.file("agreed.csv", format!("{head}{}", self.agreed));
        }
        if !self.received.is_empty() {
            let head = "date,stock,from,amount,note,bill\n";
            folder = folder.file("received.csv", format!("{head}{}", self.received));
        }
        if let Some(bills) = &self.bills {
            folder = folder.file("bills.csv", bills);
        }
        folder
    }
}

/// Writes what is not billed yet, which must go well; what the run said.
#[track_caller]
pub fn issue(folder: &Path, on: &str) -> String {
    let path = folder.to_str().expect("a path in UTF-8");
    let ran = hailyard(&["bills", path, "--issue", "--on", on]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    ran.out
}

/// The ledger's text.
pub fn ledger(folder: &Path) -> String {
    std::fs::read_to_string(folder.join("bills.csv")).expect("the ledger")
}

/// Rows of the ledger as `number|date|kind|to|stock|amount`.
pub fn rows(folder: &Path) -> Vec<String> {
    read_csv(&folder.join("bills.csv"))[1..]
        .iter()
        .map(|row| [0, 1, 3, 4, 5, 16].map(|at| row[at].clone()).join("|"))
        .collect()
}

/// The accounts as JSON; the run must go well.
#[track_caller]
pub fn accounts(folder: &Path, on: &str) -> (Value, String) {
    let path = folder.to_str().expect("a path in UTF-8");
    let ran = hailyard(&["bills", path, "--json", "--on", on]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    (serde_json::from_str(&ran.out).expect("JSON"), ran.err)
}

/// Some fields of a table's row whose first column is this.
#[track_caller]
pub fn fields(json: &Value, table: &str, key: &str, of: &[&str]) -> Vec<String> {
    let rows = json[table].as_array().expect("a table");
    let first = |row: &&Value| {
        let row = row.as_object().expect("a row");
        ["stock", "from"]
            .iter()
            .any(|name| row.get(*name) == Some(&Value::from(key)))
    };
    let row = rows.iter().find(first).expect("a row");
    of.iter()
        .map(|name| match &row[*name] {
            Value::Null => String::new(),
            Value::String(text) => text.clone(),
            other => other.to_string(),
        })
        .collect()
}

const ALL: [&str; 9] = [
    "state",
    "priced",
    "approved",
    "payer_billed",
    "payer_received",
    "payer_open",
    "owner_billed",
    "owner_received",
    "owner_open",
];

/// A yes to all of A and to 90.00 of B; C waits.
fn approved() -> Books {
    books().agreed("A,,,approved,160.00,Ann,2026-06-20,\nB,,,approved,90.00,Ann,2026-06-21,\n")
}

#[test]
fn a_car_goes_from_its_price_to_what_is_open() {
    let folder = approved().folder();
    let (json, _) = accounts(folder.path(), "2026-07-01");
    let of = |json: &Value, stock| fields(json, "cars", stock, &ALL).join("|");
    assert_eq!(
        of(&json, "A"),
        "approved|160.00|160.00|0.00|0.00|0.00|0.00|0.00|0.00"
    );
    assert_eq!(
        of(&json, "C"),
        "waiting|60.00||0.00|0.00|0.00|0.00|0.00|0.00"
    );
    issue(folder.path(), "2026-07-01");
    // A: 160.00 - 50.00; B: 90.00 - 50.00, for only what was approved is billed.
    assert_eq!(
        rows(folder.path()),
        [
            "1|2026-07-01|bill|Harl Cover|A|110.00",
            "2|2026-07-01|bill|owner|A|50.00",
            "3|2026-07-01|bill|Harl Cover|B|40.00",
            "4|2026-07-01|bill|owner|B|50.00",
        ]
    );
    let folder = folder.file(
        "received.csv",
        "date,stock,from,amount,note\n2026-07-03,A,Harl Cover,110.00,\n2026-07-04,B,,30.00,short\n2026-07-05,A,owner,50.00,\n",
    );
    let (json, err) = accounts(folder.path(), "2026-08-05");
    assert_eq!(
        of(&json, "A"),
        "approved|160.00|160.00|110.00|110.00|0.00|50.00|50.00|0.00"
    );
    assert_eq!(
        of(&json, "B"),
        "approved|100.00|90.00|40.00|30.00|10.00|50.00|0.00|50.00"
    );
    assert!(!err.contains("received.csv"), "{err}");
    // 35 days after the bills; the owner of A has paid.
    let ages = ["cars", "days_0_30", "days_31_60", "open"];
    assert_eq!(
        fields(&json, "ages", "Harl Cover", &ages),
        ["1", "0.00", "10.00", "10.00"]
    );
    assert_eq!(
        fields(&json, "ages", "owners", &ages),
        ["1", "0.00", "50.00", "50.00"]
    );
    for (sum, amount) in [
        ("priced", "320.00"),
        ("approved", "250.00"),
        ("billed", "250.00"),
        ("received", "190.00"),
        ("open", "60.00"),
        ("over", "0.00"),
    ] {
        assert_eq!(json[sum], amount, "{sum}");
    }
}

/// The last day of each stretch and the first of the next, by the calendar:
/// 1 July + 30 = 31 July, + 60 = 30 August, + 90 = 29 September.
#[test]
fn an_age_counts_from_the_day_of_the_bill() {
    let folder = approved().folder();
    issue(folder.path(), "2026-07-01");
    let columns = ["days_0_30", "days_31_60", "days_61_90", "days_over_90"];
    for (on, column) in [
        ("2026-07-01", 0),
        ("2026-07-31", 0),
        ("2026-08-01", 1),
        ("2026-08-30", 1),
        ("2026-08-31", 2),
        ("2026-09-29", 2),
        ("2026-09-30", 3),
        ("2028-01-01", 3),
    ] {
        let (json, _) = accounts(folder.path(), on);
        let mut expected = ["0.00"; 4];
        expected[column] = "150.00";
        assert_eq!(
            fields(&json, "ages", "Harl Cover", &columns),
            expected,
            "{on}"
        );
    }
}

/// What came in pays the oldest bill first: of 110.00 and a supplement of 20.00 a
/// month later, 100.00 came in, so 10.00 is old and 20.00 is new.
#[test]
fn receipts_pay_the_oldest_bill() {
    let folder = approved().folder();
    issue(folder.path(), "2026-07-01");
    let agreed = "stock,panel,group,item,amount,by,date,note
A,,dents,crease at the rail,20.00,Ann,2026-07-28,
A,,,approved,160.00,Ann,2026-06-20,
A,,,approved the crease,20.00,Ann,2026-07-30,
B,,,approved,90.00,Ann,2026-06-21,\n";
    let folder = folder.file("agreed.csv", agreed);
    let said = issue(folder.path(), "2026-08-01");
    assert!(said.contains("1 bill was written into bills.csv"), "{said}");
    let last = rows(folder.path()).pop().expect("a row");
    assert_eq!(last, "5|2026-08-01|supplement|Harl Cover|A|20.00");
    assert!(
        ledger(folder.path()).contains(",A,the crease,20.00,"),
        "its name"
    );
    let folder = folder.file(
        "received.csv",
        "date,stock,from,amount,note\n2026-08-05,A,,100.00,\n2026-08-05,B,,40.00,\n",
    );
    let (json, _) = accounts(folder.path(), "2026-08-20");
    let ages = ["days_0_30", "days_31_60"];
    assert_eq!(
        fields(&json, "ages", "Harl Cover", &ages),
        ["20.00", "10.00"]
    );
    // Nothing is left to bill, so no number is used up.
    let said = issue(folder.path(), "2026-08-21");
    assert!(said.contains("nothing to bill"), "{said}");
    assert_eq!(rows(folder.path()).len(), 5);
}

/// A later word on the whole car takes the place of all before it, whatever the
/// order of the rows; a supplement of the same name that of its own.
#[test]
fn the_last_word_counts() {
    for (agreed, approved) in [
        (
            "A,,,approved,100.00,Ann,2026-06-20,\nA,,,approved,150.00,Ann,2026-06-25,\n",
            "150.00",
        ),
        (
            "A,,,approved,150.00,Ann,2026-06-25,\nA,,,approved,100.00,Ann,2026-06-20,\n",
            "150.00",
        ),
        (
            "A,,,approved,100.00,Ann,2026-06-20,\nA,,,approved one,10.00,Ann,2026-06-21,\nA,,,approved Two,20.00,Ann,2026-06-22,\n",
            "130.00",
        ),
        (
            "A,,,approved,100.00,Ann,2026-06-20,\nA,,,approved one,10.00,Ann,2026-06-21,\nA,,,Approved ONE,15.00,Ann,2026-06-22,\n",
            "115.00",
        ),
        (
            "A,,,approved,100.00,Ann,2026-06-20,\nA,,,approved one,10.00,Ann,2026-06-21,\nA,,,refused one,,Ann,2026-06-22,\n",
            "100.00",
        ),
        (
            "A,,,approved,100.00,Ann,2026-06-20,\nA,,,approved one,10.00,Ann,2026-06-21,\nA,,,approved,105.00,Ann,2026-06-22,\n",
            "105.00",
        ),
        (
            "A,,,approved,100.00,Ann,2026-06-20,\nA,,,refused,,Ann,2026-06-22,\n",
            "",
        ),
        // On one day a supplement goes beyond the car, whichever row is first.
        (
            "A,,,approved one,10.00,Ann,2026-06-20,\nA,,,approved,100.00,Ann,2026-06-20,\n",
            "110.00",
        ),
    ] {
        let folder = books().agreed(agreed).folder();
        let (json, _) = accounts(folder.path(), "2026-07-01");
        let state = if approved.is_empty() {
            "refused"
        } else {
            "approved"
        };
        let of = fields(&json, "cars", "A", &["state", "approved"]);
        assert_eq!(of, [state, approved], "{agreed}");
    }
}

/// Our hood of A is 100.00 and its roof 60.00; 150.00 of 160.00 were approved, 95.00
/// of them for the hood, so 5.00 of the difference is named and 5.00 is not.
#[test]
fn differences_stand_by_the_lines_that_were_named() {
    let folder = books()
        .agreed("A,,,approved,150.00,Ann,2026-06-20,\nA,hood,dents,approved dents dime,95.00,Ann,2026-06-20,fewer\nA,decklid,,approved,5.00,Ann,2026-06-20,\n")
        .folder();
    let (json, err) = accounts(folder.path(), "2026-07-01");
    let all: Vec<String> = json["differences"]
        .as_array()
        .expect("rows")
        .iter()
        .map(|row| format!("{}|{}|{}", row["lines"], row["priced"], row["difference"]))
        .collect();
    assert_eq!(
        all,
        [
            "\"hood, dents, dents dime\"|\"100.00\"|\"-5.00\"",
            "\"lines that nobody named\"|null|\"-5.00\""
        ]
    );
    assert!(
        err.contains(
            "agreed.csv, row 4, item: found `decklid`; expected lines that the car's price has"
        ),
        "{err}"
    );
}

/// What was approved beyond the price is not billed.
#[test]
fn no_more_than_the_price_is_billed() {
    let folder = books()
        .agreed("C,,,approved,75.00,Ann,2026-06-20,\n")
        .folder();
    let (_, err) = accounts(folder.path(), "2026-07-01");
    assert!(
        err.contains(
            "agreed.csv, row 2, amount: found `75.00`; expected at most the car's price, 60.00"
        ),
        "{err}"
    );
    issue(folder.path(), "2026-07-01");
    assert_eq!(
        rows(folder.path()),
        [
            "1|2026-07-01|bill|Harl Cover|C|10.00",
            "2|2026-07-01|bill|owner|C|50.00"
        ]
    );
}

/// The owner bears no more than what is billed: of 45.00 all.
#[test]
fn an_owner_bears_no_more_than_what_was_approved() {
    let folder = books()
        .agreed("C,,,approved,45.00,Ann,2026-06-20,\n")
        .folder();
    issue(folder.path(), "2026-07-01");
    assert_eq!(rows(folder.path()), ["1|2026-07-01|bill|owner|C|45.00"]);
}

/// A payer who takes a yes back, wholly or in part, is given a credit note.
#[test]
fn what_was_billed_too_high_is_corrected() {
    let folder = approved().folder();
    issue(folder.path(), "2026-07-01");
    let agreed = "stock,item,amount,by,date\nA,approved,160.00,Ann,2026-06-20\nA,refused,,Ann,2026-07-02\nB,approved,80.00,Ann,2026-07-02\n";
    let folder = folder.file("agreed.csv", agreed);
    issue(folder.path(), "2026-07-03");
    assert_eq!(
        rows(folder.path())[4..],
        [
            "5|2026-07-03|correction|Harl Cover|A|-110.00",
            "6|2026-07-03|correction|owner|A|-50.00",
            "7|2026-07-03|correction|Harl Cover|B|-10.00",
        ]
    );
    let (json, _) = accounts(folder.path(), "2026-07-03");
    assert_eq!(json["billed"], "80.00");
}

/// Over-paid by 20.00: one credit, not two. Paid back, nothing is left; over-paid
/// anew by 5.00, one more.
#[test]
fn an_over_payment_is_credited_once() {
    let folder = approved().folder();
    issue(folder.path(), "2026-07-01");
    let mut received =
        "date,stock,from,amount,note\n2026-07-03,A,,130.00,\n2026-07-03,B,,40.00,\n".to_owned();
    let folder = folder.file("received.csv", &received);
    issue(folder.path(), "2026-07-04");
    assert_eq!(
        rows(folder.path())[4..],
        ["5|2026-07-04|credit|Harl Cover|A|-20.00"]
    );
    let (json, _) = accounts(folder.path(), "2026-07-04");
    // A credit says what is owed back and changes nothing of what was billed.
    assert_eq!(
        (&json["billed"], &json["over"]),
        (&"250.00".into(), &"20.00".into())
    );
    let said = issue(folder.path(), "2026-07-05");
    assert!(said.contains("nothing to bill"), "{said}");
    received.push_str("2026-07-06,A,,-20.00,paid back\n");
    let folder = folder.file("received.csv", &received);
    let said = issue(folder.path(), "2026-07-06");
    assert!(said.contains("nothing to bill"), "{said}");
    let (json, _) = accounts(folder.path(), "2026-07-06");
    assert_eq!(json["over"], "0.00");
    received.push_str("2026-07-07,A,,5.00,again\n");
    let folder = folder.file("received.csv", &received);
    issue(folder.path(), "2026-07-08");
    assert_eq!(
        rows(folder.path())[5..],
        ["6|2026-07-08|credit|Harl Cover|A|-5.00"]
    );
}

/// Over by 100.00 and credited; then the yes falls by 30.00, so 30.00 more are over
/// and only they are credited.
#[test]
fn a_correction_credits_only_what_it_adds() {
    let folder = approved().received("2026-07-03,A,,210.00,,\n").folder();
    issue(folder.path(), "2026-07-02");
    issue(folder.path(), "2026-07-04");
    let agreed = "stock,item,amount,by,date\nA,approved,160.00,Ann,2026-06-20\nB,approved,90.00,Ann,2026-06-21\nA,approved,130.00,Ann,2026-07-05\n";
    let folder = folder.file("agreed.csv", agreed);
    issue(folder.path(), "2026-07-06");
    issue(folder.path(), "2026-07-07");
    assert_eq!(
        rows(folder.path())[4..],
        [
            "5|2026-07-04|credit|Harl Cover|A|-100.00",
            "6|2026-07-06|correction|Harl Cover|A|-30.00",
            "7|2026-07-07|credit|Harl Cover|A|-30.00",
        ]
    );
    let said = issue(folder.path(), "2026-07-08");
    assert!(said.contains("nothing to bill"), "{said}");
}

/// Over by 100.00 and credited; a supplement of 40.00 is set off, so that nothing of
/// it needs paying and 60.00 still stand. One of 90.00 after it leaves 30.00 to pay.
#[test]
fn a_supplement_is_set_off_against_a_credit() {
    let counted = "A,,dents,rail,40.00,Ann,2026-06-18,\nA,,dents,edge,90.00,Ann,2026-06-18,\nA,,,approved,160.00,Ann,2026-06-20,\n";
    let folder = books()
        .agreed(counted)
        .received("2026-07-03,A,,210.00,,\n")
        .folder();
    issue(folder.path(), "2026-07-02");
    issue(folder.path(), "2026-07-04");
    let mut agreed = format!("stock,panel,group,item,amount,by,date,note\n{counted}");
    let mut folder = folder;
    for (more, on) in [
        ("A,,,approved rail,40.00,Ann,2026-07-05,\n", "2026-07-06"),
        ("A,,,approved edge,90.00,Ann,2026-07-07,\n", "2026-07-08"),
    ] {
        agreed.push_str(more);
        folder = folder.file("agreed.csv", &agreed);
        issue(folder.path(), on);
    }
    assert_eq!(
        rows(folder.path())[2..],
        [
            "3|2026-07-04|credit|Harl Cover|A|-100.00",
            "4|2026-07-06|supplement|Harl Cover|A|0.00",
            "5|2026-07-08|supplement|Harl Cover|A|30.00",
        ]
    );
    // Billed are 110 + 40 + 90 to the payer and 50 to the owner; 210 came in.
    let (json, _) = accounts(folder.path(), "2026-07-10");
    let of = ["payer_billed", "payer_open", "owner_billed"];
    assert_eq!(
        fields(&json, "cars", "A", &of),
        ["240.00", "30.00", "50.00"]
    );
    let said = issue(folder.path(), "2026-07-11");
    assert!(said.contains("nothing to bill"), "{said}");
    let out = TempDir::new().expect("a folder");
    let path = out.path().to_str().expect("a path");
    let ran = hailyard(&["bills", &folder.arg(), "--on", "2026-07-12", "--out", path]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let page = std::fs::read_to_string(out.path().join("bills/bill 5.html")).expect("a bill");
    for said in [
        "approved since",
        "set off",
        "60.00 that came in above earlier bills is set off.",
        "To pay by 2026-08-07: 30.00",
    ] {
        assert!(page.contains(said), "{said}");
    }
    assert!(!page.contains("not approved"), "{page}");
}

/// What went back on the day of a credit was known to it.
#[test]
fn a_refund_on_the_day_of_a_credit_is_in_it() {
    let folder = approved()
        .received("2026-07-03,A,,130.00,,\n2026-07-04,A,,-5.00,,\n")
        .folder();
    issue(folder.path(), "2026-07-02");
    issue(folder.path(), "2026-07-04");
    let said = issue(folder.path(), "2026-07-04");
    assert!(said.contains("nothing to bill"), "{said}");
    assert_eq!(
        rows(folder.path())[4..],
        ["5|2026-07-04|credit|Harl Cover|A|-15.00"]
    );
}

/// A car moved to another payer after its bill: said, since nothing corrects it.
#[test]
fn a_car_that_changed_its_payer_is_said() {
    let folder = approved().folder();
    issue(folder.path(), "2026-07-01");
    let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("storm.toml");
    let other = "[[payer]]\nname = \"Other Cover\"\nrate_card = \"rates/card.toml\"\n";
    let folder = folder.file("storm.toml", toml + other).file(
        "vehicles.csv",
        "stock,payer\nA,Other Cover\nB,Harl Cover\nC,Harl Cover\n",
    );
    let (_, err) = accounts(folder.path(), "2026-07-02");
    assert!(
        err.contains(
            "bills.csv, row 2, to: found `Harl Cover`; expected Other Cover, who pays this car now"
        ),
        "{err}"
    );
    // Neither payer is billed what the other was.
    let agreed = "stock,item,amount,by,date\nA,approved,150.00,Ann,2026-07-02\nB,approved,90.00,Ann,2026-06-21\n";
    let folder = folder.file("agreed.csv", agreed);
    let said = issue(folder.path(), "2026-07-03");
    assert!(said.contains("nothing to bill"), "{said}");
}

/// Owners bear 50.00 a car and 100.00 in all. A is refused and still takes 50.00 of
/// it, so C's owner bears nothing: said, with what ends it.
#[test]
fn a_refused_car_that_takes_of_the_event_maximum_is_said() {
    let mut books =
        books().agreed("A,,,refused,,Ann,2026-06-20,\nC,,,approved,60.00,Ann,2026-06-20,\n");
    books.car = books.car.terms("deductible_event_max = \"100.00\"");
    let folder = books.folder();
    let (json, err) = accounts(folder.path(), "2026-07-01");
    let said = "agreed.csv, row 2, item: found `refused`; expected a car whose owner bears nothing: in the price it still takes 50.00 of the owners' event maximum";
    assert!(err.contains(said), "{err}");
    assert_eq!(
        fields(&json, "cars", "C", &["payer_part", "owner_part"]),
        ["60.00", "0.00"]
    );
    let folder = folder.file("vehicles.csv", "stock,deductible\nA,0\nB,\nC,\n");
    let (json, err) = accounts(folder.path(), "2026-07-01");
    assert!(!err.contains("event maximum"), "{err}");
    assert_eq!(
        fields(&json, "cars", "C", &["payer_part", "owner_part"]),
        ["10.00", "50.00"]
    );
}

/// A word that was nearly a verdict would be a price.
#[test]
fn a_misspelt_verdict_is_no_price() {
    let folder = books()
        .agreed("A,hood,dents,aproved,80.00,Ann,2026-06-20,\n")
        .folder();
    let ran = hailyard(&["price", &folder.arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err.contains("agreed.csv, row 2, item: found `aproved`; expected what was agreed on, or approved or refused; probably approved"),
        "{}",
        ran.err
    );
}

/// Decisions, bills and receipts change no price.
#[test]
fn prices_are_what_they_were() {
    let plain = books().car.price();
    let folder = approved().folder();
    issue(folder.path(), "2026-07-01");
    let folder = folder.file(
        "received.csv",
        "date,stock,from,amount,note\n2026-07-03,A,,130.00,\n",
    );
    let with_books = crate::builder::Tables::of(folder.path());
    for table in ["lines", "cars", "totals"] {
        assert_eq!(with_books.rows(table), plain.rows(table));
    }
}

/// Structured bills on request, for payers only; what they lack is named once.
#[test]
fn structured_bills_are_written_or_say_what_they_lack() {
    let lacking = approved().folder();
    issue(lacking.path(), "2026-07-01");
    let out = TempDir::new().expect("a folder");
    let path = out.path().to_str().expect("a path");
    let run = |folder: &Folder| {
        let ran = hailyard(&[
            "bills",
            &folder.arg(),
            "--on",
            "2026-07-02",
            "--out",
            path,
            "--ubl",
        ]);
        assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
        ran.err
    };
    let said = run(&lacking);
    let keys = [
        "[from] name:",
        "[bills] country:",
        "[[payer]] country, of Harl Cover:",
    ];
    for key in keys {
        let lines = said.lines().filter(|line| line.contains(key));
        assert_eq!(lines.count(), 1, "{key}\n{said}");
    }
    let xml = |bill: &str| out.path().join(format!("bills/bill {bill}.xml"));
    assert!(!xml("1").exists());
    let terms = "country = \"US\"\n[from]\nname = \"Shed\"\nregistration = \"7\"\n[bills]\ncountry = \"US\"\ntax_id = \"7\"\n";
    let whole = approved().toml(terms).folder();
    issue(whole.path(), "2026-07-01");
    let said = run(&whole);
    assert!(!said.contains("structured"), "{said}");
    assert!(xml("1").exists() && xml("3").exists());
    // Of an owner no country is known.
    assert!(!xml("2").exists() && !xml("4").exists());
    let text = std::fs::read_to_string(xml("3")).expect("a bill");
    assert!(text.contains(">40.00</cbc:PayableAmount>"), "{text}");
}

/// Files of every kind, and in each the same sums.
#[test]
fn every_format_says_the_same() {
    let folder = approved().folder();
    issue(folder.path(), "2026-07-01");
    let out = TempDir::new().expect("a folder");
    let path = out.path().to_str().expect("a path");
    let ran = hailyard(&["bills", &folder.arg(), "--on", "2026-07-02", "--out", path]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    for name in [
        "receivables.html",
        "receivables.pdf",
        "receivables.csv",
        "bills.xlsx",
        "bills/bill 1.html",
        "bills/bill 1.pdf",
        "bills/bill 4.pdf",
    ] {
        assert!(out.path().join(name).is_file(), "{name}");
    }
    assert_eq!(
        std::fs::read_to_string(out.path().join("bills.csv")).expect("the table"),
        ledger(folder.path())
    );
    let page = std::fs::read_to_string(out.path().join("bills/bill 3.html")).expect("a bill");
    for said in [
        "Bill 3",
        "Harl Cover",
        "To pay by 2026-07-31: 40.00",
        "-10.00",
        "-50.00",
    ] {
        assert!(page.contains(said), "{said}");
    }
    let receivables = read_csv(&out.path().join("receivables.csv"));
    let open = receivables[0].iter().position(|name| name == "payer_open");
    let open = open.expect("a column");
    let amounts: Vec<&str> = receivables[1..]
        .iter()
        .map(|row| row[open].as_str())
        .collect();
    assert_eq!(amounts, ["110.00", "40.00", "0.00"]);
    // The workbook's foot is a live sum with its value: 110 + 50 + 40 + 50.
    let mut book: calamine::Xlsx<_> =
        calamine::open_workbook(out.path().join("bills.xlsx")).expect("a workbook");
    use calamine::Reader;
    let sheet = book.worksheet_range("Bills").expect("a sheet");
    let formulas = book.worksheet_formula("Bills").expect("its formulas");
    assert_eq!(
        sheet.get_value((6, 16)).map(ToString::to_string),
        Some("250".to_owned())
    );
    assert_eq!(
        formulas.get_value((6, 16)).map(String::as_str),
        Some("SUM(Q2:Q5)")
    );
}
