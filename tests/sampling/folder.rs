//! `hailyard lot` on a storm's folder: the whole lot from the cars counted so
//! far. A dime panel of the small card is 10.00 up to 9 dents, 20.00 up to 29,
//! 30.00 above, so every price is plain to see.

use crate::builder::{Folder, SMALL_CARD, Tables, hailyard, hailyard_wide};
use approx::{assert_abs_diff_eq, assert_relative_eq};
use hailyard::cli::Exit;
use serde_json::Value;

/// Harl Cover's tiers stand one below and one above what the lot reaches.
const STORM: &str = "\
name = \"S\"
currency = \"USD\"
[[payer]]
name = \"Harl Cover\"
rate_card = \"rates/card.toml\"
lot_discount = [{ cars_at_least = 10, percent = \"10\" }, { cars_at_least = 11, percent = \"20\" }]
[[payer]]
name = \"Ostrel Fleet\"
rate_card = \"rates/card.toml\"
[time]
panel_setup = \"6\"
per_dent = { dime = \"1.5\" }
finish_per_car = \"30\"
";
const SAMPLE: &str = "[sample]\nstrata = \"body\"\npicked = \"every third\"\n";
const LIST: &str = "\
stock,body,payer,value
S1,sedan,Harl Cover,100
S2,sedan,Harl Cover,200
S3,sedan,Ostrel Fleet,400
S4,sedan,Ostrel Fleet,300
U1,suv,Harl Cover,300
U2,suv,Ostrel Fleet,500
U3,suv,Ostrel Fleet,200
";
/// S1 10.00, S2 20.00, S3 30.00; U1 20.00 + 20.00, U2 20.00 + 30.00.
const COUNTS: &str = "\
stock,panel,dime
S1,hood,3
S2,hood,12
S3,hood,40
U1,hood,12
U1,roof,12
U2,hood,12
U2,roof,40
";
const LOT: &str = "stratum,cars\nsedan,10\nsuv,7\n";

/// The storm's files, some of them in place of those above.
fn folder(other: &[(&str, &str)]) -> Folder {
    let storm = format!("{STORM}{SAMPLE}");
    let mut folder = Folder::new();
    for (path, text) in [
        ("storm.toml", storm.as_str()),
        ("rates/card.toml", SMALL_CARD),
        ("vehicles.csv", LIST),
        ("counts/lot.csv", COUNTS),
        ("lot.csv", LOT),
    ]
    .iter()
    .chain(other)
    {
        folder = folder.file(path, text);
    }
    folder
}

#[track_caller]
fn estimated(folder: &Folder, more: &[&str]) -> Value {
    let ran = hailyard(&[&["lot", &folder.arg(), "--json"], more].concat());
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    serde_json::from_str(&ran.out).expect("JSON")
}

#[track_caller]
fn text(folder: &Folder, more: &[&str]) -> String {
    let ran = hailyard_wide(200, &[&["lot", &folder.arg()], more].concat());
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    ran.out
}

#[track_caller]
fn measure<'a>(found: &'a Value, name: &str) -> &'a Value {
    let all = found["estimates"].as_array().expect("estimates");
    all.iter()
        .find(|made| made["measure"] == name || made["code"] == name)
        .unwrap_or_else(|| panic!("{name}"))
}

#[track_caller]
fn holds(found: &Value, total: f64, error: f64, df: f64) {
    assert_abs_diff_eq!(
        found["total"].as_f64().expect("total"),
        total,
        epsilon = 1e-9
    );
    assert_abs_diff_eq!(found["se"].as_f64().expect("se"), error, epsilon = 1e-9);
    assert_eq!(found["df"], df);
}

/// Harl Cover's cars of the lot: 10 x 2/3 + 7 x 1/2 = 10.17, so 10: neither the
/// 9 of strata rounded down nor the 11 of strata rounded up. All is priced at
/// that tier: S1 9.00, S2 18.00, U1 36.00.
///
/// sedan 9, 18, 30: mean 19, s² 111, 10 x 19 = 190, V = 100 x 0.7 x 111 / 3 = 2,590
/// suv   36, 50:    mean 43, s² 98,  7 x 43 = 301,  V = 49 x 5/7 x 98 / 2 = 1,715
/// whole 491, √4,305, df 3; t(0.975, 3) = 3.182446
#[test]
fn a_lot_is_what_the_formulas_make_of_its_prices() {
    let found = estimated(&folder(&[]), &[]);
    assert_eq!([&found["cars"], &found["counted"]], [17, 5]);
    assert_eq!(found["cars_from"], "lot.csv");
    assert_eq!(found["strata_by"], "body");
    assert_eq!(found["picked"], "every third");
    assert_eq!(found["cautions"], serde_json::json!([]));
    let harl = &found["payers"][0];
    assert_eq!(harl["cars_with_a_priced_panel"], 10);
    assert_eq!(harl["lot_discount_percent"], "10");
    assert_eq!(found["payers"][1]["lot_discount_percent"], Value::Null);

    let total = measure(&found, "total");
    assert_eq!(total["unit"], "USD");
    holds(&total["whole"], 491.0, 4_305.0_f64.sqrt(), 3.0);
    assert_eq!(total["whole"]["of"], "whole lot");
    let reach = 3.182_446_305 * 4_305.0_f64.sqrt();
    let end = |key: &str| total["whole"][key].as_f64().expect("an end");
    assert_abs_diff_eq!(end("low"), 491.0 - reach, epsilon = 1e-6);
    assert_abs_diff_eq!(end("high"), 491.0 + reach, epsilon = 1e-6);
    holds(&total["strata"][0], 190.0, 2_590.0_f64.sqrt(), 2.0);
    holds(&total["strata"][1], 301.0, 1_715.0_f64.sqrt(), 1.0);
    // By itself a suv reaches below what is counted on two of them: 36 + 50.
    assert_eq!(total["strata"][1]["low"], 86.0);
    // Harl Cover: 9, 18, 0 and 36, 0: 90 + 126; V = 100 x 0.7 x 81 / 3 + 35 x 648 / 2.
    holds(&total["payers"][0], 216.0, 13_230.0_f64.sqrt(), 3.0);
    // Ostrel Fleet: 0, 0, 30 and 0, 50: 100 + 175; V = 70 x 300 / 3 + 35 x 1,250 / 2.
    holds(&total["payers"][1], 275.0, 28_875.0_f64.sqrt(), 3.0);

    // All of it is for dents.
    holds(
        &measure(&found, "dents_amount")["whole"],
        491.0,
        4_305.0_f64.sqrt(),
        3.0,
    );
    // 3, 12, 40 and 24, 52 dents: 10 x 55 / 3 + 7 x 38; s² 373 and 392 …
    let s2 = ((3.0_f64 - 55.0 / 3.0).powi(2)
        + (12.0_f64 - 55.0 / 3.0).powi(2)
        + (40.0_f64 - 55.0 / 3.0).powi(2))
        / 2.0;
    holds(
        &measure(&found, "dents")["whole"],
        550.0 / 3.0 + 266.0,
        (70.0 * s2 / 3.0 + 35.0 * 392.0 / 2.0_f64).sqrt(),
        3.0,
    );
    // Minutes: 6 + 1.5 a dent a panel, 30 a car: 40.5, 54, 96 and 78, 120;
    // 10 x 63.5 + 7 x 99 = 1,328.
    let hours = measure(&found, "hours");
    assert_eq!(hours["unit"], "h");
    assert_abs_diff_eq!(
        hours["whole"]["total"].as_f64().expect("hours"),
        1_328.0 / 60.0,
        epsilon = 1e-9
    );
    assert_eq!(measure(&found, "quotes")["whole"]["total"], 0.0);
}

/// V² / (V_h² / df_h): 4,305² / (2,590² / 2 + 1,715²) = 2.943955.
#[test]
fn degrees_of_freedom_by_satterthwaite() {
    let found = estimated(&folder(&[]), &["--satterthwaite"]);
    assert_eq!(found["degrees_of_freedom"], "satterthwaite");
    let whole = &measure(&found, "total")["whole"];
    let df = 4_305.0_f64.powi(2) / (2_590.0_f64.powi(2) / 2.0 + 1_715.0_f64.powi(2));
    assert_abs_diff_eq!(whole["df"].as_f64().expect("df"), df, epsilon = 1e-9);
    // Fewer of them, so the interval is wider than that of 3.
    let plain = estimated(&folder(&[]), &[]);
    let high = |found: &Value| measure(found, "total")["whole"]["high"].as_f64();
    assert!(high(&found) > high(&plain));
    // A stratum by itself has the ones it has.
    assert_eq!(measure(&found, "total")["strata"][0]["df"], 2.0);
}

/// Parts are the same formulas with 0 outside the part.
#[test]
fn strata_and_payers_foot_to_the_whole() {
    let card = format!("{SMALL_CARD}{REMOVALS}");
    let counts = COUNTS
        .replace("dime\n", "dime,remove\n")
        .replace(",3\n", ",3,lamp\n");
    let counts = counts.replace("roof,40\n", "roof,40,liner; lamp\n");
    let storm = folder(&[("rates/card.toml", &card), ("counts/lot.csv", &counts)]);
    let found = estimated(&storm, &[]);
    let all = found["estimates"].as_array().expect("estimates");
    assert!(all.len() > 6, "{}", all.len());
    for made in all {
        let whole = made["whole"]["total"].as_f64().expect("a total");
        for parts in ["strata", "payers"] {
            let parts = made[parts].as_array().expect("parts");
            let sum: f64 = parts
                .iter()
                .map(|part| part["total"].as_f64().expect("a total"))
                .sum();
            assert_relative_eq!(sum, whole, max_relative = 1e-9);
        }
    }
}

const REMOVALS: &str = r#"
[[removal]]
code = "lamp"
hours = { other = "0.5" }
once_per = "vehicle"
[[removal]]
code = "liner"
hours = { other = "2" }
once_per = "vehicle"
includes = ["lamp"]
"#;

/// A lamp that comes off with the liner is no removal of its own: one lamp on
/// three sedans, 10 x 1/3; one liner on two suvs, 7 x 1/2.
#[test]
fn removals_are_counted_by_code() {
    let card = format!("{SMALL_CARD}{REMOVALS}");
    let counts = COUNTS
        .replace("dime\n", "dime,remove\n")
        .replace(",3\n", ",3,lamp\n");
    let counts = counts.replace("roof,40\n", "roof,40,liner; lamp\n");
    let storm = folder(&[("rates/card.toml", &card), ("counts/lot.csv", &counts)]);
    let found = estimated(&storm, &[]);
    let often = |code: &str, part: &str, at: usize| {
        let total = &measure(&found, code)[part][at]["total"];
        total.as_f64().expect("a total")
    };
    assert_abs_diff_eq!(often("lamp", "strata", 0), 10.0 / 3.0, epsilon = 1e-9);
    assert_eq!(often("lamp", "strata", 1), 0.0);
    assert_eq!(often("liner", "strata", 0), 0.0);
    assert_eq!(often("liner", "strata", 1), 3.5);
    assert_eq!(often("liner", "payers", 1), 3.5);
    assert!(text(&storm, &[]).contains("R&I liner"));
}

/// Every car of the lot counted: the storm's own totals, and no error.
#[test]
fn a_lot_that_is_counted_is_its_total() {
    let lot = "stratum,cars\nsedan,3\nsuv,2\n";
    let list = LIST.replace("S4,sedan,Ostrel Fleet,300\n", "");
    let list = list.replace("U3,suv,Ostrel Fleet,200\n", "");
    // 10 + 20 + 40 of Harl Cover's three cars at 10 % off, 30 + 50.
    let storm = format!("{STORM}{SAMPLE}").replace("cars_at_least = 10", "cars_at_least = 3");
    let storm = folder(&[
        ("storm.toml", &storm),
        ("vehicles.csv", &list),
        ("lot.csv", lot),
    ]);
    let found = estimated(&storm, &[]);
    let tables = Tables::of(storm.path());
    for (name, column) in [
        ("total", "total"),
        ("dents_amount", "dents_amount"),
        ("dents", "dents"),
        ("oversize", "oversize"),
        ("quotes", "quotes"),
    ] {
        let made = measure(&found, name);
        let whole = &made["whole"];
        let printed: f64 = tables
            .total("storm", "S", column)
            .parse()
            .expect("a figure");
        assert_abs_diff_eq!(
            whole["total"].as_f64().expect("one"),
            printed,
            epsilon = 1e-9
        );
        assert_eq!(
            [&whole["se"], &whole["low"]],
            [&Value::from(0.0), &whole["total"]]
        );
        for (at, payer) in ["Harl Cover", "Ostrel Fleet"].into_iter().enumerate() {
            let printed: f64 = tables.total("payer", payer, column).parse().expect("one");
            let part = made["payers"][at]["total"].as_f64().expect("one");
            assert_abs_diff_eq!(part, printed, epsilon = 1e-9);
        }
    }
    assert_eq!(measure(&found, "total")["whole"]["total"], 143.0);
    let said = text(&storm, &[]);
    assert!(
        said.contains("these are totals, and no estimates"),
        "{said}"
    );
    assert!(!said.contains("Count "), "{said}");
}

/// The suv is the one that counts alone: 7 of them, one counted at 40; three
/// sedans of 10 at 10, 20, 30. Collapsed: z = y N / n = 33.33, 66.67, 100, 280;
/// V = (1 − 4 / 17) x 4 / 3 x Σ (z − z̄)², one group, so df 3.
#[test]
fn a_stratum_of_one_counted_car_shares_its_error() {
    let counts: String = COUNTS
        .lines()
        .filter(|line| !line.starts_with("U2"))
        .fold(String::new(), |text, line| text + line + "\n");
    let storm = format!("{STORM}{SAMPLE}").replace("lot_discount = [", "# [");
    let found = estimated(
        &folder(&[("counts/lot.csv", &counts), ("storm.toml", &storm)]),
        &[],
    );
    let total = measure(&found, "total");
    let z: [f64; 4] = [100.0 / 3.0, 200.0 / 3.0, 100.0, 280.0];
    let mean = z.iter().sum::<f64>() / 4.0;
    let squares: f64 = z.iter().map(|z| (z - mean).powi(2)).sum();
    let error = ((1.0 - 4.0 / 17.0) * 4.0 / 3.0 * squares).sqrt();
    holds(&total["whole"], 200.0 + 280.0, error, 3.0);
    assert_eq!(total["strata"][1]["se"], Value::Null);
    let with = serde_json::json!(["sedan", "suv"]);
    assert_eq!(total["strata"][1]["variance_with"], with);
    let said = text(&folder(&[("counts/lot.csv", &counts)]), &[]);
    assert!(
        said.contains("One counted car of suv: its error is taken together with sedan, suv."),
        "{said}"
    );
}

#[test]
fn a_stratum_without_a_counted_car_is_in_no_figure_and_every_one_says_so() {
    let lot = format!("{LOT}van,9\n");
    let list = format!("{LIST}V1,van,Ostrel Fleet,900\n");
    let storm = folder(&[("lot.csv", &lot), ("vehicles.csv", &list)]);
    let found = estimated(&storm, &[]);
    let van = serde_json::json!([{"stratum": "van", "cars": 9}]);
    assert_eq!(found["not_counted"], van);
    for made in found["estimates"].as_array().expect("estimates") {
        assert_eq!(made["whole"]["of"], "strata counted");
        assert_eq!(made["whole"]["without_cars"], 9);
        assert_eq!(made["strata"][2]["total"], Value::Null);
    }
    // The others as if there were no van.
    holds(
        &measure(&found, "total")["whole"],
        491.0,
        4_305.0_f64.sqrt(),
        3.0,
    );
    // Where to count next knows of the vans: two at least.
    assert!(found["strata"][2]["more"].as_u64().expect("more") >= 2);
    let said = text(&storm, &[]);
    let without = "of the strata counted, without 9 cars of van";
    for caption in [
        "What the whole lot comes to",
        "Total by stratum",
        "Total by payer",
    ] {
        assert!(said.contains(&format!("{caption}, {without}")), "{said}");
    }
    assert!(
        said.contains(&format!("Every figure is {without}")),
        "{said}"
    );
    // With the ratio there is no lot to know the total of.
    let sample = format!("{STORM}{SAMPLE}helper = \"value\"\nhelper_total = \"9000\"\n");
    let storm = folder(&[
        ("lot.csv", &lot),
        ("vehicles.csv", &list),
        ("storm.toml", &sample),
    ]);
    let said = text(&storm, &["--by-helper"]);
    assert!(
        said.contains("By value nothing can be said of the total"),
        "{said}"
    );
}

/// One car of a lot, and none.
#[test]
fn too_few_cars_say_why_there_is_no_interval() {
    let one = "stock,panel,dime\nS1,hood,3\n";
    let plain = format!("{STORM}[sample]\npicked = \"the first\"\n");
    let whole = "stratum,cars\nall,17\n";
    let files = [
        ("counts/lot.csv", one),
        ("storm.toml", &plain),
        ("lot.csv", whole),
    ];
    let found = estimated(&folder(&files), &[]);
    let total = measure(&found, "total");
    // 17 cars of Harl Cover are 20 % off: 17 x 8.00.
    assert_eq!(total["whole"]["total"], 136.0);
    assert_eq!(
        [&total["whole"]["se"], &total["whole"]["low"]],
        [&Value::Null; 2]
    );
    assert_eq!(found["more"], Value::Null);
    let said = text(&folder(&files), &[]);
    assert!(said.contains("No interval"), "{said}");
}

#[test]
fn without_a_counted_car_nothing_is_estimated() {
    let storm = folder(&[("counts/lot.csv", "stock,panel,dime\n")]);
    let found = estimated(&storm, &[]);
    for made in found["estimates"].as_array().expect("estimates") {
        assert_eq!(made["whole"]["total"], Value::Null);
        assert_eq!(made["payers"][0]["total"], Value::Null);
    }
    let said = text(&storm, &[]);
    assert!(said.contains("No car is counted yet"), "{said}");
    assert!(!said.contains("estimate "), "{said}");
}

/// A payer of whom nothing is counted: 0 for certain by the formulas, and in
/// truth unknown.
#[test]
fn a_payer_without_a_counted_car_has_no_figure() {
    let counts: String = COUNTS
        .lines()
        .filter(|line| !line.starts_with("S3") && !line.starts_with("U2"))
        .fold(String::new(), |text, line| text + line + "\n");
    let storm = folder(&[("counts/lot.csv", &counts)]);
    let found = estimated(&storm, &[]);
    assert_eq!(found["payers"][1]["payer"], "Ostrel Fleet");
    assert_eq!(measure(&found, "total")["payers"][1]["total"], Value::Null);
    let said = text(&storm, &[]);
    assert!(said.contains("No car of Ostrel Fleet is counted"), "{said}");
}

/// y 10, 20, 30 at x 100, 200, 400 of 10 cars, X 3,000: B = 60 / 700, total 257.14;
/// d = 1.43, 2.86, −4.29, s_d² = 100 / 7; error 3,000 / (10 x 233.33) x √(100 x 0.7 x 100 / 21).
#[test]
fn the_ratio_goes_by_the_helper_of_the_list() {
    let storm = format!(
        "{STORM}[sample]\npicked = \"at random\"\nhelper = \"value\"\nhelper_total = \"3000\"\n"
    );
    let list = "stock,payer,value\nS1,Ostrel Fleet,100\nS2,Ostrel Fleet,200\nS3,Ostrel Fleet,400\n";
    let counts = "stock,panel,dime\nS1,hood,3\nS2,hood,12\nS3,hood,40\n";
    let files = [
        ("storm.toml", storm.as_str()),
        ("vehicles.csv", list),
        ("counts/lot.csv", counts),
        ("lot.csv", "stratum,cars\nlot,10\n"),
    ];
    let storm = folder(&files);
    let found = estimated(&storm, &["--by-helper"]);
    let total = measure(&found, "total");
    let error = 3_000.0 / (7_000.0 / 3.0) * (100.0 * 0.7 * 100.0 / 21.0_f64).sqrt();
    holds(&total["by_helper"], 3_000.0 * 60.0 / 700.0, error, 2.0);
    // The plain one stands beside it: 10 x 20, 10 √(0.7 x 100 / 3).
    holds(&total["whole"], 200.0, 10.0 * (70.0 / 3.0_f64).sqrt(), 2.0);
    assert!(measure(&found, "hours")["by_helper"]["total"].is_f64());
    assert_eq!(measure(&found, "dents")["by_helper"], Value::Null);
    let said = text(&storm, &["--by-helper"]);
    assert!(said.contains("total, by value"), "{said}");
    assert!(
        said.contains(
            "By value one of it comes to 0.085714 of the total; its error is the smaller one."
        ),
        "{said}"
    );
    // Not asked for: not shown.
    assert!(!text(&storm, &[]).contains("by value"));
    assert_eq!(
        measure(&estimated(&storm, &[]), "total")["by_helper"],
        Value::Null
    );
    // Without a helper there is nothing to go by.
    let ran = hailyard(&["lot", &folder(&[]).arg(), "--by-helper"]);
    assert_eq!(ran.exit, Exit::Usage);
    assert!(ran.err.contains("names no `helper`"), "{}", ran.err);
}

/// Four cars of ten at 10, 20, 30, 20 and Ŷ 200: s² = 200 / 3. Six counted:
/// t(0.975, 5) x 10 √(66.67 x (1/6 − 1/10)) / 200 = 2.5706 x 0.10541 = 27.1 %;
/// five: t 2.7764 x 0.12910 = 35.8 %.
#[test]
fn it_says_how_many_more_to_count() {
    let list = (1..=10).fold("stock,payer\n".to_owned(), |list, car| {
        format!("{list}S{car},Ostrel Fleet\n")
    });
    let counts = "stock,panel,dime\nS1,hood,3\nS2,hood,12\nS3,hood,40\nS4,hood,10\n";
    let storm = format!("{STORM}[sample]\npicked = \"at random\"\n");
    let storm = Folder::new()
        .file("storm.toml", storm)
        .file("rates/card.toml", SMALL_CARD)
        .file("vehicles.csv", list)
        .file("counts/lot.csv", counts);
    let found = estimated(&storm, &["--within", "30"]);
    assert_eq!(found["cars_from"], "vehicles");
    assert_eq!(found["strata"][0]["more"], 2);
    assert_eq!(found["more"]["cars"], 2);
    let gives = found["more"]["gives"].as_f64().expect("a part");
    assert_abs_diff_eq!(gives, 0.270_97, epsilon = 1e-4);
    assert_eq!(
        estimated(&storm, &["--within", "36"])["strata"][0]["more"],
        1
    );
    let said = text(&storm, &["--within", "7"]);
    assert!(said.contains("for ± 7 % of the total"), "{said}");
    for wrong in ["0", "-1", "101", "NaN"] {
        let within = format!("--within={wrong}");
        assert_eq!(
            hailyard(&["lot", &storm.arg(), &within]).exit,
            Exit::Usage,
            "{wrong}"
        );
    }
}

/// What is known of a quote is in: 10.00 of S1, whose dent of 55 mm is not.
#[test]
fn of_a_quote_what_is_known_is_in() {
    let card = format!("{SMALL_CARD}[[oversize]]\nupto_mm = \"45\"\neach = \"5.00\"\n");
    let counts = COUNTS
        .replace("dime\n", "dime,oversize\n")
        .replace(",3\n", ",3,55\n");
    let storm = folder(&[("rates/card.toml", &card), ("counts/lot.csv", &counts)]);
    let found = estimated(&storm, &[]);
    holds(
        &measure(&found, "total")["whole"],
        491.0,
        4_305.0_f64.sqrt(),
        3.0,
    );
    // 10 x 1/3 of the sedans.
    let quotes = measure(&found, "quotes")["whole"]["total"].as_f64();
    assert_abs_diff_eq!(quotes.expect("one"), 10.0 / 3.0, epsilon = 1e-9);
    assert_eq!(found["quotes_counted"], 1);
    assert!(text(&storm, &[]).contains("1 counted car needs a quote"));
    // The standard has no minutes of it: no hours, and why.
    let all = found["estimates"].as_array().expect("estimates");
    assert!(all.iter().all(|made| made["measure"] != "hours"));
    let said = found["cautions"].to_string();
    assert!(
        said.contains("No crew hours") && said.contains("S1 needs it"),
        "{said}"
    );
}

#[test]
fn how_the_cars_were_picked_is_asked_for() {
    let storm = format!("{STORM}[sample]\nstrata = \"body\"\n");
    let said = text(&folder(&[("storm.toml", &storm)]), &[]);
    assert!(said.contains("the worst first is no sample"), "{said}");
    let said = text(&folder(&[]), &[]);
    assert!(!said.contains("worst first"), "{said}");
    assert!(said.contains("picked every third"), "{said}");
}

/// A car with an error is left out of the sample and stays one of the lot.
#[test]
fn bad_cars_are_cars_of_the_lot() {
    let counts = format!("{COUNTS}U3,hood,x\n");
    let storm = folder(&[("counts/lot.csv", &counts)]);
    assert_eq!(hailyard(&["lot", &storm.arg()]).exit, Exit::Problems);
    let ran = hailyard(&["lot", &storm.arg(), "--without-bad", "--json"]);
    assert_eq!(ran.exit, Exit::Problems);
    let found: Value = serde_json::from_str(&ran.out).expect("JSON");
    holds(
        &measure(&found, "total")["whole"],
        491.0,
        4_305.0_f64.sqrt(),
        3.0,
    );
    assert_eq!(found["left_out"], serde_json::json!(["U3"]));
    assert!(found["cautions"].to_string().contains("U3"), "{found}");
}

#[test]
fn an_error_in_the_lot_is_no_estimate_and_says_so() {
    let storm = folder(&[("lot.csv", "stratum,cars\nsedan,1\nsuv,7\n")]);
    for more in [&[][..], &["--without-bad"]] {
        let ran = hailyard(&[&["lot", &storm.arg()], more].concat());
        assert_eq!(ran.exit, Exit::Problems);
        assert!(
            ran.err.contains("at least what is counted: 3"),
            "{}",
            ran.err
        );
        assert!(
            ran.err.contains("these must be mended first"),
            "{}",
            ran.err
        );
    }
}

#[test]
fn it_writes_a_table_a_page_and_a_pdf() {
    let storm = folder(&[]);
    let out = Folder::new();
    let _ = text(&storm, &["--out", &out.arg()]);
    let table = crate::builder::read_csv(&out.path().join("lot.csv"));
    assert_eq!(
        table[0].join(","),
        "measure,code,unit,by,key,cars,counted,total,se,df,low,high"
    );
    // √4,305 = 65.61; 491 − 3.182446 x 65.6125 = 282.19.
    assert_eq!(
        table[1].join(","),
        "total,,USD,whole lot,,17,5,491.00,65.61,3.0000,282.19,699.81"
    );
    assert_eq!(
        table[4].join(","),
        "total,,USD,payer,Harl Cover,,3,216.00,115.02,3.0000,63.00,582.05"
    );
    let page = std::fs::read_to_string(out.path().join("lot.html")).expect("a page");
    assert!(page.contains("<svg") && page.contains("699.81"), "{page}");
    assert!(out.path().join("lot.pdf").exists());
    assert!(!out.path().join("lot.txt").exists());
    // A narrow window loses columns and says which; no line is wider.
    let ran = hailyard_wide(60, &["lot", &storm.arg()]);
    assert!(ran.out.contains("no room for"), "{}", ran.out);
    let tables = ran.out.lines().skip(1).filter(|line| line.contains('|'));
    assert!(tables.map(str::len).all(|wide| wide <= 60), "{}", ran.out);
}

#[test]
fn a_storm_writes_the_estimate_beside_its_reports() {
    let storm = folder(&[]);
    let out = Folder::new();
    let args = ["storm", &storm.arg(), "--out", &out.arg()];
    let ran = hailyard_wide(200, &args);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
    assert!(
        ran.out.contains(
            "whole lot, from 5 of 17 cars: total 491.00 USD (282.19 to 699.81), crew hours 22.1"
        ),
        "{}",
        ran.out
    );
    let index = std::fs::read_to_string(out.path().join("index.html")).expect("an index");
    for name in ["lot.html", "lot.pdf", "lot.txt", "lot.csv"] {
        assert!(out.path().join(name).exists(), "{name}");
        assert!(index.contains(&format!("href=\"{name}\"")), "{name}");
    }
    let ran = hailyard(&[&args[..], &["--json"]].concat());
    let json: Value = serde_json::from_str(&ran.out).expect("JSON");
    assert_eq!(json["lot"], estimated(&storm, &[]));
    // One kind only; the others are of an earlier run.
    let ran = hailyard(&[&args[..], &["--only", "tables"]].concat());
    assert!(
        ran.err
            .contains("not of this one: lot.html, lot.pdf, lot.txt"),
        "{}",
        ran.err
    );
    // Counted in full without lot.*, or meant as no sample: no estimate.
    let plain = STORM.to_owned();
    for files in [
        Folder::new()
            .file("storm.toml", &plain)
            .file("vehicles.csv", LIST),
        Folder::new()
            .file("storm.toml", format!("{STORM}{SAMPLE}"))
            .file(
                "vehicles.csv",
                LIST.replace("S4,sedan,Ostrel Fleet,300\n", "")
                    .replace("U3,suv,Ostrel Fleet,200\n", ""),
            ),
    ] {
        let files = files
            .file("rates/card.toml", SMALL_CARD)
            .file("counts/lot.csv", COUNTS);
        let ran = hailyard(&["storm", &files.arg(), "--out", &out.arg(), "--json"]);
        let json: Value = serde_json::from_str(&ran.out).expect("JSON");
        assert_eq!(json["lot"], Value::Null);
        assert!(ran.err.contains("lot.csv"), "{}", ran.err);
    }
    // An error in it is no matter of the prices.
    let bad = folder(&[("lot.csv", "stratum,cars\nsedan,10\n")]);
    let ran = hailyard(&["storm", &bad.arg(), "--out", &out.arg()]);
    assert_eq!(ran.exit, Exit::Problems);
    let ran = hailyard(&["storm", &bad.arg(), "--out", &out.arg(), "--without-bad"]);
    assert_eq!(ran.exit, Exit::Problems);
    assert!(
        ran.err.contains("no estimate of the whole lot"),
        "{}",
        ran.err
    );
    assert!(ran.out.contains("written to"), "{}", ran.out);
}

/// What belongs to a table is no matter of a folder, and the other way round.
#[test]
fn a_table_and_a_folder_are_not_mixed() {
    let storm = folder(&[]);
    let table = format!("{}/counts/lot.csv", storm.arg());
    for wrong in [
        &["lot", &storm.arg(), "--ratio", "value", "--known", "9"][..],
        &["lot", &storm.arg(), "--value", "dime"],
        &["lot", &storm.arg(), "--cars", "9"],
        &["lot", "--table", &table, "--value", "dime"],
        &["lot", "--table", &table, "--cars", "9"],
        &[
            "lot",
            "--table",
            &table,
            "--value",
            "dime",
            "--cars",
            "9",
            "--by-helper",
        ],
        &[
            "lot", "--table", &table, "--value", "dime", "--cars", "9", "--out", "x",
        ],
        &[
            "lot",
            &storm.arg(),
            "--table",
            &table,
            "--value",
            "dime",
            "--cars",
            "9",
        ],
        &[
            "lot",
            "--table",
            &table,
            "--value",
            "dime",
            "--cars",
            "9",
            "--without-bad",
        ],
    ] {
        assert_eq!(hailyard(wrong).exit, Exit::Usage, "{wrong:?}");
    }
    let ran = hailyard(&["lot", "--table", &table, "--value", "dime", "--cars", "9"]);
    assert_eq!(ran.exit, Exit::Done, "{}", ran.err);
}
