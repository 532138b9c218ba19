//! The close of a storm by hand.

use super::accounts::{books, issue};
use crate::builder::{hailyard, read_csv};
use hailyard::cli::Exit;
use tempfile::TempDir;

/// Priced 320.00: C (60.00) waits; B is approved at 90.00 of 100.00; A (160.00)
/// wholly. So 250.00 can be billed, all is; 110.00 came in.
///
/// Ada does all of A at 50 % (80.00) and gets 2 h of 5.00 for waiting; lodging 30.00,
/// a bonus of 5.00, 4.00 kept. B's hood (100.00) and C's (60.00) nobody has done.
/// Costs: 80 + 10 + 30 + 5 - 4 + 160 = 281.00. Stays: 320 - 281 = 39.00; without the
/// 160.00 that nobody has earned 250 - 121 = 129.00 and 110 - 121 = -11.00.
///
/// The standard: 2 min a dent and 5 a panel, so A's hood 25 min, its roof 11 min:
/// 36 min = 0.60 h, logged 0.5 + 0.25 = 0.75 h, a ratio of 1.25.
#[test]
fn the_close_is_what_hand_arithmetic_gives() {
    let folder = books()
        .agreed("A,,,approved,160.00,Ann,2026-06-20,\nB,,,approved,90.00,Ann,2026-06-21,\n")
        .toml("[time]\npanel_setup = \"5\"\n[time.per_dent]\ndime = \"2\"\n")
        .folder();
    issue(folder.path(), "2026-07-01");
    let folder = folder
        .file("received.csv", "date,stock,from,amount,note\n2026-07-03,A,,110.00,\n")
        .file("crew.csv", "name,pay\nAda,50% + 5.00/h\n")
        .file(
            "work.csv",
            "date,stock,panel,person,trade,hours\n2026-06-15,A,hood,Ada,,0.5\n2026-06-15,A,roof,Ada,,0.25\n2026-06-15,,,Ada,other,1.25\n",
        )
        .file(
            "paid.csv",
            "date,person,kind,amount\n2026-06-20,Ada,lodging,30.00\n2026-06-20,Ada,bonus,5.00\n2026-06-20,Ada,charge-back,4.00\n2026-06-20,Ada,payment,50.00\n",
        );
    let out = TempDir::new().expect("a folder");
    let path = out.path().to_str().expect("a path");
    let ran = hailyard(&["close", &folder.arg(), "--on", "2026-07-10", "--out", path]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let rows: Vec<String> = read_csv(&out.path().join("close.csv"))[1..]
        .iter()
        .map(|row| row.join("|"))
        .collect();
    assert_eq!(
        rows,
        [
            "earned|priced|320.00||||",
            "earned|waits for the payer's word|-60.00||||",
            "earned|waits for a quote|0.00||||",
            "earned|refused|0.00||||",
            "earned|not approved on approved cars|-10.00||||",
            "earned|can be billed|250.00||||",
            "earned|billed|250.00||||",
            "earned|received|110.00||||",
            "earned|open|140.00||||",
            "cost|shares off the top|0.00||||",
            "cost|people: percentages|80.00||||",
            "cost|people: hours, cars, days|10.00||||",
            "cost|people: guarantees, overtime|0.00||||",
            "cost|bonuses|5.00||||",
            "cost|lodging|30.00||||",
            "cost|per diem|0.00||||",
            "cost|charge-backs, to the house|-4.00||||",
            "cost|referred panels, passed through|0.00||||",
            "cost|taxes, passed through|0.00||||",
            "cost|not yet earned by anyone|160.00||||",
            "house|of all that was priced|39.00||||",
            "house|of what can be billed, for work done|129.00||||",
            "house|of what came in, for work done|-11.00||||",
            "person|Ada||2|0.60|0.75|1.25",
            "work|hood||1|0.42|0.50|0.00",
            "work|roof||1|0.18|0.25|0.00",
        ]
    );
    // The house of the split is what stays of all that was priced.
    let split = hailyard(&["pay", &folder.arg(), "--json"]);
    let json: serde_json::Value = serde_json::from_str(&split.out).expect("JSON");
    assert_eq!(json["house"], "39.00");
    for name in ["close.html", "close.pdf"] {
        assert!(out.path().join(name).is_file(), "{name}");
    }
    assert!(ran.out.contains("1.25"), "{}", ran.out);
    // By receipts the costs are the same, whoever has to wait for them.
    let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("storm.toml");
    let folder = folder.file("storm.toml", toml + "[pay]\non = \"received\"\n");
    let ran = hailyard(&["close", &folder.arg(), "--on", "2026-07-10", "--json"]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    let json: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
    let rows = json["rows"].as_array().expect("rows");
    let amount = |key: &str| {
        let row = rows.iter().find(|row| row["key"] == key);
        row.expect("a row")["amount"].clone()
    };
    assert_eq!(amount("people: percentages"), "80.00");
    assert_eq!(amount("of what came in, for work done"), "-11.00");
}
