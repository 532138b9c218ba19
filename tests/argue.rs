//! The argument about a price: several cards side by side, and the supplement
//! of a recount.

use crate::builder::{Folder, OneCar, SMALL_CARD, Tables, data, hailyard, read_csv};
use hailyard::cli::Exit;
use rust_decimal::Decimal;

const SHEET: &str = "stock,panel,dime,nickel\nA1,hood,3,4\nA1,roof,12,0\nB2,hood,0,9\n";

fn json(args: &[&str]) -> serde_json::Value {
    let ran = hailyard(args);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

fn amount(value: &serde_json::Value) -> Decimal {
    value
        .as_str()
        .map_or(Decimal::ZERO, |text| text.parse().expect("an amount"))
}

#[test]
fn a_storm_stands_on_several_cards_side_by_side() {
    let dearer = SMALL_CARD
        .replace("Small card", "Dearer card")
        .replace("\"11.00\"", "\"15.00\"");
    let cards = Folder::new().file("dearer.toml", dearer);
    let storm = OneCar::new(SHEET).folder();
    let card = cards.path().join("dearer.toml");
    let card = card.to_str().expect("a path");
    let found = json(&["compare", &storm.arg(), "--card", card, "--json"]);
    let of = |by: &str, key: &str, card: &str| -> Decimal {
        let row = found["amounts"]
            .as_array()
            .expect("a list")
            .iter()
            .find(|row| row["by"] == by && row["key"] == key && row["card"] == card)
            .unwrap_or_else(|| panic!("{by} {key} {card}"));
        amount(&row["amount"])
    };
    let cents = |cents: i64| Decimal::new(cents, 2);
    // 7 mostly nickel 11.00, 12 dime 20.00, 9 nickel 11.00 = 42.00;
    // on the dearer card 15.00 + 20.00 + 15.00 = 50.00
    assert_eq!(of("total", "storm", "as agreed"), cents(4200));
    assert_eq!(of("total", "storm", "Dearer card"), cents(5000));
    assert_eq!(of("payer", "Harl Cover", "Dearer card"), cents(5000));
    assert_eq!(of("panel", "hood", "as agreed"), cents(2200));
    assert_eq!(of("panel", "hood", "Dearer card"), cents(3000));
    assert_eq!(of("size", "nickel", "Dearer card"), cents(3000));
    assert_eq!(of("size", "dime", "Dearer card"), cents(2000));
    // Both cars are 4.00 apart; a tie stays in lot order.
    assert_eq!(of("car", "A1", "as agreed"), cents(3100));
    assert_eq!(of("car", "B2", "Dearer card"), cents(1500));
    let text = hailyard(&["compare", &storm.arg(), "--card", card]);
    assert!(text.out.contains("Dearer card"), "{}", text.out);
}

/// A class that a card lacks makes its panels not comparable: they leave every
/// column, and nothing else does.
#[test]
fn a_class_that_a_card_lacks_is_not_comparable_and_no_error() {
    let other = SMALL_CARD
        .replace("nickel", "groat")
        .replace("Small card", "Other card");
    let cards = Folder::new().file("other.toml", other);
    let storm = OneCar::new(SHEET).folder();
    let card = cards.path().join("other.toml");
    let found = json(&[
        "compare",
        &storm.arg(),
        "--card",
        card.to_str().expect("a path"),
        "--json",
    ]);
    let left_out: Vec<(String, String)> = found["not_comparable"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|row| {
            let text = |key: &str| row[key].as_str().unwrap_or_default().to_owned();
            (text("stock"), text("panel"))
        })
        .collect();
    let expected = [("A1", "hood"), ("B2", "hood")];
    assert_eq!(
        left_out,
        expected.map(|(stock, panel)| (stock.to_owned(), panel.to_owned()))
    );
    for row in found["amounts"].as_array().expect("a list") {
        if row["by"] == "total" {
            // only the roof of A1: 12 dime, 20.00
            assert_eq!(amount(&row["amount"]), Decimal::new(2000, 2));
        }
    }
}

/// A card without an entry for a removal charges nothing for it, and is said to.
#[test]
fn a_removal_that_a_card_lacks_is_said() {
    let removal =
        "\n[[removal]]\ncode = \"tail-lamp-l\"\nhours = \"0.5\"\nonce_per = \"vehicle\"\n";
    let cards = Folder::new().file("other.toml", SMALL_CARD.replace("Small card", "Other card"));
    let storm = OneCar::new(
        "stock,panel,dime,remove\nA1,hood,3,tail-lamp-l\nA1,roof,3,tail-lamp-l\nB2,hood,3,\n",
    )
    .card(removal)
    .folder();
    let card = cards.path().join("other.toml");
    let card = card.to_str().expect("a path");
    let text = hailyard(&["compare", &storm.arg(), "--card", card]).out;
    assert!(
        text.contains("they cost nothing on it\n")
            && text.contains(" Other card | tail-lamp-l |    1\n"),
        "{text}"
    );
    let found = json(&["compare", &storm.arg(), "--card", card, "--json"]);
    let rows = found["not_comparable"].as_array().expect("a list");
    assert_eq!(rows.len(), 1);
    assert_eq!(rows[0]["stock"], "A1");
    assert_eq!(rows[0]["card"], "Other card");
}

/// Before strip the hood had 7 dents, after it 30; the roof stays; a door is new.
#[test]
fn a_recount_gives_the_supplement_line_by_line() {
    let storm = OneCar::new(SHEET)
        .terms("discount = [{ on = [\"dents\"], percent = \"10\" }]")
        .folder();
    let strip = Folder::new().file(
        "strip.csv",
        "stock,panel,dime,nickel\nA1,hood,10,20\nA1,door-fl,2,0\nB2,hood,0,8\n",
    );
    let sheet = strip.path().join("strip.csv");
    let sheet = sheet.to_str().expect("a path");
    let found = json(&["recount", &storm.arg(), sheet, "--json"]);
    let lines: Vec<String> = found["lines"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|row| {
            ["stock", "panel", "item", "before", "after", "supplement"]
                .map(|key| row[key].as_str().unwrap_or("").to_owned())
                .join("|")
        })
        .collect();
    assert_eq!(
        lines,
        [
            // 30 dents, mostly nickel: band 30+, 31.00
            "A1|hood|dents nickel|11.00|31.00|20.00",
            // 2 dimes: 10.00
            "A1|door-fl|dents dime||10.00|10.00",
            // 10 % of 31.00 and of 61.00
            "A1||discount|-3.10|-6.10|-3.00",
            // B2: 8 nickels for 9 are in the same band, so nothing changes.
        ]
    );
    // 27.00 more on A1: before 27.90 + 9.90, after 54.90 + 9.90
    assert_eq!(found["before"], "37.80");
    assert_eq!(found["after"], "64.80");
    assert_eq!(found["supplement"], "27.00");
    let text = hailyard(&["recount", &storm.arg(), sheet]);
    assert!(
        text.out
            .contains("Only in the new count: door-fl of car A1."),
        "{}",
        text.out
    );
    assert!(
        text.out
            .contains("caution, hood of car B2: fewer dents than before: 9, now 8"),
        "{}",
        text.out
    );
}

/// A line that is gone shows negative.
#[test]
fn a_line_that_is_gone_shows_negative() {
    let storm = OneCar::new("stock,panel,dime,metal\nA1,hood,3,aluminium\n")
        .card("[[uplift]]\nname = \"alu\"\npercent = \"25\"\non = [\"dents\"]\nmetal = [\"aluminium\"]\n")
        .folder();
    let other = Folder::new().file("theirs.csv", "stock,panel,dime,metal\nA1,hood,3,steel\n");
    let sheet = other.path().join("theirs.csv");
    let found = json(&[
        "recount",
        &storm.arg(),
        sheet.to_str().expect("a path"),
        "--json",
    ]);
    // 25 % of 10.00
    assert_eq!(found["lines"][0]["item"], "uplift alu");
    assert_eq!(found["lines"][0]["supplement"], "-2.50");
    assert_eq!(found["supplement"], "-2.50");
    let text = hailyard(&["recount", &storm.arg(), sheet.to_str().expect("a path")]);
    assert!(
        text.out
            .contains("caution, hood of car A1: the surface was aluminium, now steel"),
        "{}",
        text.out
    );
}

/// Random recounts of a lot with tiers and event maxima: the lines of every
/// car sum to its supplement, the cars to the storm's, and that is exactly the
/// new total less the old one as `price` gives them for the two folders.
#[test]
fn supplements_sum_exactly_to_new_total_minus_old_total() {
    let mut state = 20_260_614_u64;
    let mut below = |end: u64| {
        state = state * 16_807 % 2_147_483_647;
        state % end
    };
    for storm in [
        "lot-7001",
        "edge-7103",
        "edge-7104",
        "edge-7105",
        "lot-7002",
    ] {
        let folder = data("storms").join(storm);
        let before = Tables::of(&folder);
        for _ in 0..6 {
            // A recount of some rows of the first sheet with other counts.
            let sheet = read_csv(&folder.join("counts/a-lot.csv"));
            let header_at = sheet
                .iter()
                .position(|row| row.first().is_some_and(|cell| cell == "stock"))
                .expect("a header");
            let header = &sheet[header_at];
            let conventional = header.iter().position(|name| name == "conventional");
            let mut recount = Folder::new();
            let mut new_rows = vec![header.clone()];
            for row in &sheet[header_at + 1..] {
                if row.len() < header.len() || row[0].is_empty() || below(3) > 0 {
                    continue;
                }
                let mut row = row.clone();
                for cell in &mut row[2..6] {
                    if cell.parse::<u32>().is_ok_and(|dents| dents > 0) {
                        *cell = (1 + below(60)).to_string();
                    }
                }
                if let Some(at) = conventional {
                    row[at] = if below(12) == 0 { "yes" } else { "" }.to_owned();
                }
                new_rows.push(row);
            }
            recount = recount.file("recount.csv", to_csv(&new_rows));
            // A recount may leave an agreement stale: that is an error by rule.
            let agreed = folder.join("agreed.csv");
            let storm = Folder::copy_of(&folder, false);
            let before = if agreed.exists() {
                Tables::of(storm.path())
            } else {
                Tables::of(&folder)
            };
            let sheet = recount.path().join("recount.csv");
            let ran = hailyard(&[
                "recount",
                &storm.arg(),
                sheet.to_str().expect("a path"),
                "--json",
            ]);
            assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
            let found: serde_json::Value = serde_json::from_str(&ran.out).expect("JSON");
            let total = |tables: &Tables| -> Decimal {
                tables.rows("cars")[1..]
                    .iter()
                    .filter_map(|row| row[13].parse::<Decimal>().ok())
                    .sum()
            };
            assert_eq!(amount(&found["before"]), total(&before));
            let cars: Decimal = found["cars"]
                .as_array()
                .expect("a list")
                .iter()
                .map(|car| amount(&car["supplement"]))
                .sum();
            let lines: Decimal = found["lines"]
                .as_array()
                .expect("a list")
                .iter()
                .map(|line| amount(&line["supplement"]))
                .sum();
            let supplement = amount(&found["supplement"]);
            assert_eq!(
                supplement,
                amount(&found["after"]) - amount(&found["before"])
            );
            assert_eq!(cars, supplement);
            assert_eq!(lines, supplement);
            // The new total is what the whole folder gives with the recount's
            // rows in it, `repeated = "last"` taking the later row.
            let toml = std::fs::read_to_string(storm.path().join("storm.toml")).expect("read");
            let toml = if toml.contains("repeated = \"add\"") {
                continue;
            } else if toml.contains("[intake]") {
                toml.replace("[intake]", "[intake]\nrepeated = \"last\"")
            } else {
                format!("{toml}\n[intake]\nrepeated = \"last\"\n")
            };
            let together = Folder::copy_of(storm.path(), false)
                .file("storm.toml", toml)
                .file("counts/zz-recount.csv", to_csv(&new_rows));
            assert_eq!(amount(&found["after"]), total(&Tables::of(together.path())));
        }
        drop(before);
    }
}

fn to_csv(rows: &[Vec<String>]) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new()
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).expect("a row");
    }
    writer.into_inner().expect("bytes")
}

#[test]
fn a_recount_of_a_car_that_the_list_lacks_is_an_error() {
    let storm = OneCar::new(SHEET).vehicles("stock\nA1\nB2\n").folder();
    let other = Folder::new().file("theirs.csv", "stock,panel,dime\na1,hood,3\n");
    let sheet = other.path().join("theirs.csv");
    let ran = hailyard(&["recount", &storm.arg(), sheet.to_str().expect("a path")]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err
            .contains("found `a1`; expected a stock of the vehicle list; probably A1"),
        "{}",
        ran.err
    );
}

#[test]
fn two_lone_sheets_need_a_storm_whose_terms_price_them() {
    let sheets = Folder::new()
        .file("ours.csv", "stock,panel,dime\nA1,hood,12\n")
        .file("theirs.csv", "stock,panel,dime\nA1,hood,3\n");
    let path = |name: &str| {
        sheets
            .path()
            .join(name)
            .to_str()
            .expect("a path")
            .to_owned()
    };
    let ran = hailyard(&["recount", &path("theirs.csv"), &path("ours.csv")]);
    assert_eq!(ran.exit, Exit::Usage);
    assert!(ran.err.contains("--storm FOLDER"), "{}", ran.err);
    let storm = OneCar::new(SHEET).folder();
    let found = json(&[
        "recount",
        &path("theirs.csv"),
        &path("ours.csv"),
        "--storm",
        &storm.arg(),
        "--json",
    ]);
    // 3 dimes 10.00, 12 dimes 20.00; the roof and B2 stand.
    assert_eq!(found["supplement"], "10.00");
    assert_eq!(found["lines"].as_array().map(Vec::len), Some(1));
}
