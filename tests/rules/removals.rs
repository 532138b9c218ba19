//! Steps 5 and 6: remove and install, extras.

use crate::builder::OneCar;

fn removal(code: &str, per: &str, rest: &str) -> String {
    format!("[[removal]]\ncode = \"{code}\"\nhours = \"0.5\"\nonce_per = \"{per}\"\n{rest}\n")
}

/// Lines that are not dents. 0.5 h x 58.00 = 29.00.
#[track_caller]
fn lines(sheet: &str, card: &str, expected: &[&str]) {
    let found: Vec<String> = OneCar::new(sheet)
        .card(card)
        .price()
        .lines("A1")
        .into_iter()
        .filter(|line| !line.contains("|dents|"))
        .collect();
    assert_eq!(found, expected);
}

#[test]
fn once_per_vehicle_is_charged_once_however_often_wanted() {
    lines(
        "stock,panel,dime,remove\nA1,hood,3,lamp\nA1,roof,3,lamp; lamp\n",
        &removal("lamp", "vehicle", "parts = \"4.00\""),
        &["|removal|lamp|1|29.00", "|parts|lamp|1|4.00"],
    );
}

#[test]
fn once_per_panel_is_charged_on_every_panel_that_wants_it() {
    lines(
        "stock,panel,dime,remove\nA1,roof,3,trim\nA1,hood,3,trim\nA1,cowl,3,\n",
        &removal("trim", "panel", "parts = \"4.00\""),
        &[
            "hood|removal|trim|1|29.00",
            "hood|parts|trim|1|4.00",
            "roof|removal|trim|1|29.00",
            "roof|parts|trim|1|4.00",
        ],
    );
}

#[test]
fn codes_stand_in_byte_order() {
    lines(
        "stock,panel,dime,remove\nA1,hood,3,beta; Alpha; alpha2; a\n",
        &(removal("beta", "vehicle", "")
            + &removal("a", "vehicle", "")
            + &removal("Alpha", "vehicle", "")
            + &removal("alpha2", "vehicle", "")),
        // Capital letters come first in bytes.
        &[
            "|removal|Alpha|1|29.00",
            "|removal|a|1|29.00",
            "|removal|alpha2|1|29.00",
            "|removal|beta|1|29.00",
        ],
    );
}

#[test]
fn a_removal_sets_itself_off_from_so_many_dents_on_one_panel() {
    let card = removal(
        "liner",
        "vehicle",
        "auto = [{ panels = [\"roof\"], dents_at_least = 20 }]",
    );
    lines("stock,panel,dime\nA1,roof,19\n", &card, &[]);
    lines(
        "stock,panel,dime\nA1,roof,20\n",
        &card,
        &["|removal|liner|1|29.00"],
    );
    // Oversize dents count: 19 + 1. Two panels of 19 do not.
    lines(
        "stock,panel,dime,oversize\nA1,roof,19,300\n",
        &card,
        &["|removal|liner|1|29.00"],
    );
    let two = removal(
        "liner",
        "vehicle",
        "auto = [{ panels = [\"roof\", \"hood\"], dents_at_least = 20 }]",
    );
    lines("stock,panel,dime\nA1,roof,19\nA1,hood,19\n", &two, &[]);
}

/// Referral is seen after step 4 of all panels: a roof above its limit sets
/// nothing off, but what is listed on it is charged.
#[test]
fn a_referred_panel_sets_nothing_off_but_keeps_what_is_listed() {
    let auto = removal("liner", "vehicle", "auto = [{ dents_at_least = 20 }]");
    let refer =
        "[[limit]]\namount = \"15.00\"\nthen = \"refer\"\n[[conventional]]\namount = \"1.00\"\n";
    lines(
        "stock,panel,dime\nA1,roof,25\n",
        &format!("{auto}{refer}"),
        &["roof|conventional|conventional|1|1.00"],
    );
    lines(
        "stock,panel,dime,remove\nA1,roof,25,liner\n",
        &format!("{auto}{refer}"),
        &[
            "roof|conventional|conventional|1|1.00",
            "|removal|liner|1|29.00",
        ],
    );
    // On a clean panel, too.
    lines(
        "stock,panel,dime,remove\nA1,roof,0,liner\n",
        &auto,
        &["|removal|liner|1|29.00"],
    );
}

/// A includes B, B includes C: all three wanted. B is in A, and though it is
/// itself included it still includes C; parts of an included one are not charged.
#[test]
fn what_another_includes_is_a_line_of_nothing_without_parts() {
    let card = removal("a", "vehicle", "includes = [\"b\"]")
        + &removal("b", "vehicle", "includes = [\"c\"]\nparts = \"4.00\"")
        + &removal("c", "vehicle", "parts = \"4.00\"");
    let tables = OneCar::new("stock,panel,dime,remove\nA1,hood,3,a; b; c\n")
        .card(&card)
        .price();
    assert_eq!(
        tables.lines("A1")[1..],
        [
            "|removal|a|1|29.00",
            "|removal|b|1|0.00",
            "|removal|c|1|0.00"
        ]
    );
    // Directly only: without B, A does not include C.
    lines(
        "stock,panel,dime,remove\nA1,hood,3,a; c\n",
        &card,
        &[
            "|removal|a|1|29.00",
            "|removal|c|1|29.00",
            "|parts|c|1|4.00",
        ],
    );
}

#[test]
fn of_two_that_include_it_the_first_by_code_is_named() {
    let card = removal("z", "vehicle", "includes = [\"m\"]")
        + &removal("b", "vehicle", "includes = [\"m\"]")
        + &removal("m", "vehicle", "");
    let folder = OneCar::new("stock,panel,dime,remove\nA1,hood,3,z; b; m\n")
        .card(&card)
        .folder();
    let ran = crate::builder::hailyard(&["car", "A1", &folder.arg()]);
    assert!(ran.out.contains("in b"), "{}", ran.out);
    assert!(!ran.out.contains("in z"), "{}", ran.out);
}

/// Between two per-panel codes inclusion holds on the same panel only; a code
/// once per vehicle includes, and is included, anywhere.
#[test]
fn inclusion_between_per_panel_codes_is_panel_by_panel() {
    let both = removal("a", "panel", "includes = [\"b\"]") + &removal("b", "panel", "");
    lines(
        "stock,panel,dime,remove\nA1,hood,3,a; b\nA1,roof,3,b\n",
        &both,
        &[
            "hood|removal|a|1|29.00",
            "hood|removal|b|1|0.00",
            "roof|removal|b|1|29.00",
        ],
    );
    let by_car = removal("a", "vehicle", "includes = [\"b\"]") + &removal("b", "panel", "");
    lines(
        "stock,panel,dime,remove\nA1,hood,3,a\nA1,roof,3,b\n",
        &by_car,
        &["|removal|a|1|29.00", "roof|removal|b|1|0.00"],
    );
    let into_car = removal("a", "panel", "includes = [\"b\"]") + &removal("b", "vehicle", "");
    lines(
        "stock,panel,dime,remove\nA1,hood,3,a\nA1,roof,3,b\n",
        &into_car,
        &["hood|removal|a|1|29.00", "|removal|b|1|0.00"],
    );
}

#[test]
fn hours_may_differ_by_body_and_0_hours_leave_a_line() {
    let card = "[[removal]]\ncode = \"liner\"\nhours = { suv = \"1.5\", other = \"0\" }\nonce_per = \"vehicle\"\n";
    let tables = OneCar::new("stock,panel,dime,remove\nA1,hood,3,liner\nB2,hood,3,liner\n")
        .vehicles("stock,body\nA1,suv\nB2,van\n")
        .card(card)
        .price();
    // 1.5 h x 58.00; 0 h
    assert_eq!(tables.lines("A1")[1], "|removal|liner|1|87.00");
    assert_eq!(tables.lines("B2")[1], "|removal|liner|1|0.00");
}

#[test]
fn extras_are_per_vehicle_or_per_priced_panel_in_card_order() {
    let card = "[[extra]]\nname = \"wax\"\nper = \"panel\"\namount = \"6.50\"\n[[extra]]\nname = \"wash\"\nper = \"vehicle\"\namount = \"9.999\"\n";
    // The roof is referred, the cowl clean; 9.999 rounds to 10.00.
    lines(
        "stock,panel,dime,oversize,conventional\nA1,hood,3,,\nA1,decklid,0,300,\nA1,roof,3,,yes\nA1,cowl,0,,\n",
        &format!("{card}[[conventional]]\namount = \"1.00\"\n"),
        &[
            "roof|conventional|conventional|1|1.00",
            "hood|extra|wax|1|6.50",
            // a dent by quote is a line of step 2: the panel is priced
            "decklid|extra|wax|1|6.50",
            "|extra|wash|1|10.00",
        ],
    );
    // No priced panel, no extra.
    lines(
        "stock,panel,dime,conventional\nA1,roof,3,yes\n",
        &format!("{card}[[conventional]]\namount = \"1.00\"\n"),
        &["roof|conventional|conventional|1|1.00"],
    );
}

/// pricing.md's worked example: the headliner is set off by the roof, "auto,
/// 81 >= 20: 3.2 h x 58.00"; a removal that somebody listed says nothing of it.
#[test]
fn what_set_a_removal_off_is_said() {
    let storm = crate::builder::data("storms/worked-example");
    let storm = storm.to_str().expect("a path");
    let said = crate::builder::hailyard(&["car", "T1", storm]).out;
    assert!(
        said.contains("auto, roof 81 >= 20: 3.2 h x 58.00"),
        "{said}"
    );
    let card = "[[removal]]\ncode = \"lamp\"\nhours = \"0.5\"\nonce_per = \"vehicle\"\nauto = [{ panels = [\"hood\"], dents_at_least = 2 }]\n";
    for (sheet, listed) in [
        ("stock,panel,dime,remove\nA1,hood,3,lamp\n", true),
        ("stock,panel,dime,remove\nA1,hood,3,\n", false),
    ] {
        let folder = crate::builder::OneCar::new(sheet).card(card).folder();
        let said = crate::builder::hailyard(&["car", "A1", &folder.arg()]).out;
        assert!(said.contains("0.5 h x 58.00 = 29.00"), "{said}");
        assert_eq!(said.contains("auto, hood 3 >= 2:"), !listed, "{said}");
    }
}
