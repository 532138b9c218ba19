//! What a rate card and terms are refused for: one small change of a sound
//! card each, and the whole message.

use crate::builder::{OneCar, hailyard};
use hailyard::cli::Exit;

const SHEET: &str = "stock,panel,dime\nA1,hood,3\n";

/// The storm must be refused with exactly this one problem.
#[track_caller]
fn refused(storm: &OneCar, message: &str) {
    let folder = storm.folder();
    let ran = hailyard(&["check", &folder.arg()]);
    let problems: Vec<&str> = ran
        .out
        .lines()
        .filter(|line| line.starts_with("error: "))
        .collect();
    assert_eq!(problems, [format!("error: {message}")], "{}", ran.out);
    assert_eq!(ran.exit, Exit::Problems);
}

/// One text of the small card replaced by another.
#[track_caller]
fn card(from: &str, to: &str, message: &str) {
    refused(
        &OneCar::new(SHEET).card_with(from, to),
        &format!("rates/card.toml, {message}"),
    );
}

/// More at the end of the small card, which has 26 lines and a blank one.
#[track_caller]
fn more(text: &str, message: &str) {
    refused(
        &OneCar::new(SHEET).card(text),
        &format!("rates/card.toml, {message}"),
    );
}

/// More in the payer's terms, which begin on line 9.
#[track_caller]
fn terms(text: &str, message: &str) {
    refused(
        &OneCar::new(SHEET).terms(text),
        &format!("storm.toml, {message}"),
    );
}

const BANDS: &str = r#"bands = ["1-9", "10-29", "30+"]"#;

#[test]
fn bands_begin_at_1_join_and_stay_open_at_the_end_only() {
    card(
        BANDS,
        r#"bands = ["2-9", "10-29", "30+"]"#,
        "line 21, bands: found `2-9`; expected 1-9: the bands begin at 1",
    );
    card(
        BANDS,
        r#"bands = ["0-9", "10-29", "30+"]"#,
        "line 21, bands: found `0-9`; expected 1-9: the bands begin at 1",
    );
    card(
        BANDS,
        r#"bands = ["1-9", "9-29", "30+"]"#,
        "line 21, bands: found `9-29`; expected 10-29: the bands overlap at 9",
    );
    card(
        BANDS,
        r#"bands = ["1-9", "12-29", "30+"]"#,
        "line 21, bands: found `12-29`; expected 10-29: the bands leave a gap at 10",
    );
    card(
        BANDS,
        r#"bands = ["1-9", "10+", "30+"]"#,
        "line 21, bands: found `10+`; expected `+` on the last band only",
    );
    card(
        BANDS,
        r#"bands = ["9-1", "10-29", "30+"]"#,
        "line 21, bands: found `9-1`; expected a band that begins before it ends, such as 5-9",
    );
    card(
        BANDS,
        r#"bands = ["few", "10-29", "30+"]"#,
        "line 21, bands: found `few`; expected a band such as 5-9, 7 or 200+",
    );
    card(
        BANDS,
        r#"bands = ["9-May", "10-29", "30+"]"#,
        "line 21, bands: found `9-May`; expected a band such as 5-9: a spreadsheet has turned it into a date",
    );
}

#[test]
fn every_cell_of_a_grid_is_given_and_none_too_many() {
    card(
        r#"quarter = ["12.00", "22.00", "32.00"]"#,
        r#"quarter = ["12.00", "22.00", "32.00", "42.00"]"#,
        "line 24, quarter: found `4 cells`; expected one cell per band: 3",
    );
    card(
        "quarter = [\"12.00\", \"22.00\", \"32.00\"]\n",
        "",
        "line 20, quarter: nothing found; expected `quarter`: one figure per band for this class",
    );
    card(
        r#"quarter = ["12.00", "22.00", "32.00"]"#,
        r#"quater = ["12.00", "22.00", "32.00"]"#,
        "line 24, quater: found `quater`; expected a size class or a key of a grid; probably quarter",
    );
    card(
        r#"quarter = ["12.00", "22.00", "32.00"]"#,
        r#"quarter = ["12.00", "22,00", "32.00"]"#,
        "line 24, quarter: found `22,00`; expected digits and one point; probably 22.00",
    );
    card(
        BANDS,
        "bands = [\"1-9\", \"10-29\", \"30+\"]\nfile = \"rails.csv\"",
        "line 22, file: found `bands, dime, half-dollar, nickel, quarter`; expected no bands or classes beside `file`",
    );
}

#[test]
fn size_classes_stand_in_order_under_names_that_mean_nothing_else() {
    card(
        "upto_mm = \"24.26\"",
        "upto_mm = \"21.21\"",
        "line 15, upto_mm: found `21.21`; expected more than 21.21: size classes stand smallest first",
    );
    for (name, expected) in [
        ("Dime", "a name that differs from `dime` once folded"),
        ("note", "a name that is no column, key or unit of a sheet"),
        (
            "Counted-By",
            "a name that is no column, key or unit of a sheet",
        ),
        ("mm", "a name that is no column, key or unit of a sheet"),
        (
            "a+b",
            "a name without `+` or `;`, which part the terms of a sheet",
        ),
        (
            "a;b",
            "a name without `+` or `;`, which part the terms of a sheet",
        ),
        (
            "hood",
            "a name that is no panel, metal or access of a sheet",
        ),
        ("alu", "a name that is no panel, metal or access of a sheet"),
    ] {
        let storm =
            OneCar::new(SHEET).card_with("name = \"quarter\"", &format!("name = \"{name}\""));
        let folder = storm.folder();
        let ran = hailyard(&["check", &folder.arg()]);
        let message =
            format!("error: rates/card.toml, line 14, name: found `{name}`; expected {expected}");
        assert!(ran.out.contains(&message), "{}", ran.out);
    }
}

#[test]
fn steps_stand_in_order_and_are_whole() {
    more(
        "[[oversize]]\nupto_mm = \"45\"\neach = \"1\"\n[[oversize]]\nupto_mm = \"40\"\neach = \"1\"\n",
        "line 31, upto_mm: found `40`; expected more than 45: steps stand smallest first",
    );
    more(
        "[[oversize]]\nupto_mm = \"45\"\n",
        "line 27, each: nothing found; expected `each`: the amount per dent",
    );
}

#[test]
fn words_are_the_canonical_ones_and_the_right_one_is_offered() {
    let uplift = |rest: &str| {
        format!("[[uplift]]\nname = \"u\"\npercent = \"5\"\non = [\"dents\"]\n{rest}\n")
    };
    more(
        &uplift("panels = [\"bonnet\"]"),
        "line 31, panels: found `bonnet`; expected hood, cowl, roof, sunroof, decklid, liftgate, tailgate, fender-l, fender-r, pillar-l, pillar-r, rail-l, rail-r, door-fl, door-rl, door-fr, door-rr, quarter-l, quarter-r, cab-l, cab-r, bed-l, bed-r, rocker-l or rocker-r; probably hood",
    );
    more(
        &uplift("metal = [\"alu\"]"),
        "line 31, metal: found `alu`; expected steel, aluminium or high-strength; probably aluminium",
    );
    more(
        &uplift("access = [\"Glue\"]"),
        "line 31, access: found `Glue`; expected open, braced or glue; probably glue",
    );
    more(
        &uplift("bodies = [\"SUV\"]"),
        "line 31, bodies: found `SUV`; expected sedan, hatch, wagon, coupe, suv, van, pickup or other; probably suv",
    );
    more(
        "[[uplift]]\nname = \"u\"\npercent = \"5\"\non = [\"parts\"]\n",
        "line 30, on: found `parts`; expected dents or oversize",
    );
}

#[test]
fn percents_have_bounds_and_three_decimals() {
    let uplift = |percent: &str| {
        format!("[[uplift]]\nname = \"u\"\npercent = \"{percent}\"\non = [\"dents\"]\n")
    };
    more(
        &uplift("1000.001"),
        "line 29, percent: found `1000.001`; expected 0 to 1000",
    );
    more(
        &uplift("1.2345"),
        "line 29, percent: found `1.2345`; expected a percent with at most three decimals",
    );
    more(
        &uplift("-1"),
        "line 29, percent: found `-1`; expected digits and one point",
    );
    terms(
        "discount = [{ on = [\"dents\"], percent = \"100.5\" }]",
        "line 9, percent: found `100.5`; expected 0 to 100",
    );
}

#[test]
fn more_than_four_compounding_uplifts_that_can_meet_are_refused() {
    let uplifts = |count: usize, metal: &str| -> String {
        (0..count)
            .map(|index| {
                format!(
                    "[[uplift]]\nname = \"u{index}\"\npercent = \"5\"\non = [\"dents\"]\n{metal}\n"
                )
            })
            .collect()
    };
    let compound = |more: &str| {
        OneCar::new(SHEET)
            .card_with("uplifts = \"add\"", "uplifts = \"compound\"")
            .card(more)
    };
    // Four may meet.
    compound(&uplifts(4, "")).price();
    // Five of which no panel can meet more than four: one is for another metal.
    compound(&format!(
        "{}[[uplift]]\nname = \"last\"\npercent = \"5\"\non = [\"dents\"]\nmetal = [\"steel\"]\n",
        uplifts(4, "metal = [\"aluminium\"]")
    ))
    .price();
    refused(
        &compound(&uplifts(5, "")),
        "rates/card.toml, line 47, uplift: found `5 compounding uplifts that can meet`; expected at most four that can meet on one panel",
    );
}

/// Uplifts of nothing may be as many as one likes: three dimes of the small card stay
/// at 10.00.
#[test]
fn uplifts_of_nothing_compound_to_nothing() {
    let uplifts: String = (0..60)
        .map(|index| {
            format!(
                "[[uplift]]\nname = \"u{index}\"\npercent = \"0\"\non = [\"dents\", \"oversize\"]\n"
            )
        })
        .collect();
    let priced = OneCar::new(SHEET)
        .card_with("uplifts = \"add\"", "uplifts = \"compound\"")
        .card(&uplifts)
        .price();
    assert_eq!(priced.total("storm", "Small storm", "total"), "10.00");
}

#[test]
fn hours_and_taxes_have_bounds() {
    more(
        "[[removal]]\ncode = \"a\"\nhours = \"10000.5\"\nonce_per = \"vehicle\"\n",
        "line 29, hours: found `10000.5`; expected at most 10000 hours",
    );
    more(
        "[[removal]]\ncode = \"a\"\nhours = { van = \"10001\", other = \"10000\" }\nonce_per = \"vehicle\"\n",
        "line 29, van: found `10001`; expected at most 10000 hours",
    );
    refused(
        &OneCar::new(SHEET)
            .card_with("[[grid]]\n", "[[grid]]\nunit = \"hours\"\n")
            .card_with("half-dollar = [\"13.00\",", "half-dollar = [\"10001\",")
            .card_with("rounding =", "hour_rate = \"60\"\nrounding ="),
        "rates/card.toml, line 21, grid: found `10001 hours for half-dollar, 1-9`; expected at most 10000 hours",
    );
    let taxes = |count: usize| {
        let tax = |index| format!("{{ name = \"t{index}\", percent = \"1\", on = [\"dents\"] }}");
        let taxes: Vec<String> = (0..count).map(tax).collect();
        format!("tax = [{}]", taxes.join(", "))
    };
    OneCar::new(SHEET).terms(&taxes(20)).price();
    terms(
        &taxes(21),
        "line 9, tax: found `21 taxes`; expected at most 20",
    );
}

#[test]
fn figures_too_large_to_compound_exactly_are_refused() {
    let uplifts: String = (0..4)
        .map(|index| format!("[[uplift]]\nname = \"u{index}\"\npercent = \"999.999\"\non = [\"dents\", \"oversize\"]\n"))
        .collect();
    let storm = OneCar::new(SHEET)
        .card_with("uplifts = \"add\"", "uplifts = \"compound\"")
        .card(&format!(
            "[[oversize]]\nupto_mm = \"45\"\neach = \"9999999999\"\n{uplifts}"
        ));
    refused(
        &storm,
        "rates/card.toml, line 42, uplift: found `figures and compounding percents whose product passes 38 digits`; expected smaller figures, or fewer compounding uplifts",
    );
}

#[test]
fn removals_are_whole_and_include_in_no_ring() {
    let removal = |code: &str, rest: &str| {
        format!("[[removal]]\ncode = \"{code}\"\nhours = \"1\"\nonce_per = \"vehicle\"\n{rest}\n")
    };
    more(
        &removal("a", "includes = [\"b\"]"),
        "line 31, includes: found `b`; expected a removal code of this card",
    );
    more(
        &removal("lamp", "includes = [\"lamp\"]"),
        "line 31, includes: found `lamp`; expected no ring",
    );
    let ring = removal("a", "includes = [\"b\"]")
        + &removal("b", "includes = [\"c\"]")
        + &removal("c", "includes = [\"a\"]");
    more(
        &ring,
        "line 31, includes: found `a, b, c`; expected no ring",
    );
    more(
        "[[removal]]\ncode = \"a\"\nhours = { sedan = \"1\", lorry = \"2\", other = \"1\" }\nonce_per = \"vehicle\"\n",
        "line 29, lorry: found `lorry`; expected sedan, hatch, wagon, coupe, suv, van, pickup or other",
    );
    more(
        &removal("a", "auto = [{ panels = [\"roof\"], dents_at_least = 0 }]"),
        "line 31, dents_at_least: found `0`; expected a whole number from 1",
    );
    refused(
        &OneCar::new(SHEET)
            .card_with("removal_rate = \"58.00\"\n", "")
            .card(&removal("a", "")),
        "rates/card.toml, line 26, removal_rate: nothing found; expected `removal_rate`: the card has removals",
    );
}

#[test]
fn terms_are_no_finer_than_the_currency_and_whole() {
    terms(
        "minimum = \"150.005\"",
        "line 9, minimum: found `150.005`; expected no finer than the currency's 2 places",
    );
    refused(
        &OneCar::new(SHEET)
            .currency("JPY")
            .terms("minimum = \"150.5\""),
        "storm.toml, line 9, minimum: found `150.5`; expected no finer than the currency, which has no decimals",
    );
    terms(
        "tax = [{ name = \"a\", percent = \"1\", on = [\"tax\"] }]",
        "line 9, on: found `tax`; expected dents, removal, parts, extra or conventional",
    );
    terms(
        "discount = [{ on = [\"tax\"], percent = \"1\" }]",
        "line 9, on: found `tax`; expected dents, removal, parts, extra or conventional",
    );
    terms(
        "tax = [{ name = \"a\", percent = \"1\", on = [\"parts\"] }, { name = \"A\", percent = \"1\", on = [\"parts\"] }]",
        "line 9, name: found `A`; expected a tax's name once",
    );
    terms(
        "lot_discount = [{ cars_at_least = 5, percent = \"1\" }, { cars_at_least = 5, percent = \"2\" }]",
        "line 9, cars_at_least: found `5`; expected more than 5: tiers stand fewest cars first",
    );
    terms(
        "discount = [{ on = [\"dents\"], percent = \"60\" }]\nlot_discount = [{ cars_at_least = 5, percent = \"41\" }]",
        "line 9, discount: found `101`; expected at most 100 together on dents",
    );
    terms(
        "deductible_event_max = \"900.00\"",
        "line 9, deductible_event_max: found `900.00`; expected a deductible: neither this payer nor one of its cars has one",
    );
    terms(
        "deductible = 12.5",
        "line 9, deductible: found `12.5`; expected a quoted decimal: \"12.5\"",
    );
    // A whole number may stand bare.
    OneCar::new(SHEET).terms("deductible = 12").price();
}

#[test]
fn the_card_stays_inside_the_folder() {
    let storm = OneCar::new(SHEET);
    for path in ["../card.toml", "/etc/hosts", "rates\\\\card.toml"] {
        let folder = storm.folder();
        let toml = std::fs::read_to_string(folder.path().join("storm.toml")).expect("read");
        let folder = folder.file("storm.toml", toml.replace("rates/card.toml", path));
        let ran = hailyard(&["check", &folder.arg()]);
        assert!(ran.out.contains("line 8, rate_card"), "{}", ran.out);
        assert!(
            ran.out.contains("a file inside the storm's folder"),
            "{}",
            ran.out
        );
    }
}
