//! Steps 7 to 11: discount, minimum, tax, who pays, total loss.

use crate::builder::OneCar;

/// 12 dimes: 20.00 in dents; a lamp of 29.00 with parts of 4.00; wax 6.50.
fn car(stocks: &[&str]) -> OneCar {
    let mut sheet = String::from("stock,panel,dime,remove\n");
    for stock in stocks {
        sheet.push_str(&format!("{stock},hood,12,lamp\n"));
    }
    OneCar::new(&sheet).card("[[removal]]\ncode = \"lamp\"\nhours = \"0.5\"\nonce_per = \"vehicle\"\nparts = \"4.00\"\n[[extra]]\nname = \"wax\"\nper = \"panel\"\namount = \"6.50\"\n")
}

#[test]
fn each_discounted_group_has_its_line_in_group_order() {
    let tables = car(&["A1"])
        .terms("discount = [{ on = [\"extra\", \"dents\"], percent = \"10\" }, { on = [\"removal\"], percent = \"33.333\" }, { on = [\"parts\"], percent = \"0\" }]")
        .price();
    assert_eq!(
        tables.lines("A1")[4..],
        [
            // 10 % of 20.00; 33.333 % of 29.00 = 9.66657; 10 % of 6.50; 0 %: none
            "|dents|discount||-2.00",
            "|removal|discount||-9.67",
            "|extra|discount||-0.65",
        ]
    );
}

#[test]
fn percents_of_one_group_add_up() {
    let tables = car(&["A1"])
        .terms("discount = [{ on = [\"dents\"], percent = \"60\" }, { on = [\"dents\"], percent = \"40\" }]")
        .price();
    // 100 % of 20.00
    assert_eq!(tables.lines("A1")[4], "|dents|discount||-20.00");
    assert_eq!(tables.car("A1", "dents_amount"), "0.00");
}

#[test]
fn conventional_is_discounted_only_when_named() {
    let storm = |on: &str| {
        OneCar::new("stock,panel,dime,conventional\nA1,hood,3,yes\n")
            .card("[[conventional]]\namount = \"100.00\"\n")
            .terms(&format!("discount = [{{ on = [{on}], percent = \"10\" }}]"))
            .price()
    };
    assert_eq!(storm("\"dents\"").car("A1", "total"), "100.00");
    assert_eq!(storm("\"conventional\"").car("A1", "total"), "90.00");
}

/// Tiers count this payer's cars with a priced panel; the highest reached
/// holds for all of them, and joins the standing percent in one line.
#[test]
fn the_lot_tier_is_reached_at_exactly_so_many_cars() {
    let storm = |stocks: &[&str]| {
        car(stocks)
            .terms("discount = [{ on = [\"dents\"], percent = \"5\" }]\nlot_discount = [{ cars_at_least = 2, percent = \"10\" }, { cars_at_least = 3, percent = \"20\" }]")
            .price()
    };
    // 5 %, 15 %, 25 % of 20.00
    assert_eq!(storm(&["A1"]).lines("A1")[4], "|dents|discount||-1.00");
    assert_eq!(
        storm(&["A1", "B2"]).lines("A1")[4],
        "|dents|discount||-3.00"
    );
    let three = storm(&["A1", "B2", "C3"]);
    for stock in ["A1", "B2", "C3"] {
        assert_eq!(three.lines(stock)[4], "|dents|discount||-5.00");
    }
}

#[test]
fn cars_without_a_priced_panel_reach_no_tier() {
    let tables =
        OneCar::new("stock,panel,dime,conventional\nA1,hood,12,\nB2,hood,0,\nC3,hood,3,yes\n")
            .terms("lot_discount = [{ cars_at_least = 2, percent = \"10\" }]")
            .price();
    assert_eq!(tables.lines("A1"), ["hood|dents|dents dime|12|20.00"]);
}

/// 20.00 + 29.00 + 4.00 + 6.50 = 59.50.
#[test]
fn the_minimum_raises_what_is_below_it_and_not_what_is_equal() {
    let with = |minimum: &str| {
        car(&["A1"])
            .terms(&format!("minimum = \"{minimum}\""))
            .price()
    };
    assert_eq!(with("59.51").lines("A1")[4..], ["|dents|minimum||0.01"]);
    assert_eq!(with("59.51").car("A1", "total"), "59.51");
    assert_eq!(with("59.50").lines("A1").len(), 4);
}

#[test]
fn the_minimum_comes_after_the_discount_and_is_not_for_quotes_or_nothing() {
    let tables = car(&["A1"])
        .terms("minimum = \"59.50\"\ndiscount = [{ on = [\"dents\"], percent = \"10\" }]")
        .price();
    assert_eq!(
        tables.lines("A1")[4..],
        ["|dents|discount||-2.00", "|dents|minimum||2.00"]
    );
    let quote = OneCar::new("stock,panel,dime,oversize\nA1,hood,3,300\nB2,hood,0,\n")
        .terms("minimum = \"150.00\"")
        .price();
    assert_eq!(quote.car("A1", "total"), "10.00");
    assert_eq!(quote.car("B2", "total"), "0.00");
    // Conventional alone is not in the minimum's sum, which is then not above 0.
    let referred = OneCar::new("stock,panel,dime,conventional\nA1,hood,3,yes\n")
        .card("[[conventional]]\namount = \"20.00\"\n")
        .terms("minimum = \"150.00\"")
        .price();
    assert_eq!(referred.car("A1", "total"), "20.00");
}

#[test]
fn each_tax_is_on_the_pre_tax_lines_of_its_groups() {
    let tables = car(&["A1"])
        .terms("minimum = \"100.00\"\ntax = [{ name = \"state\", percent = \"8.25\", on = [\"parts\", \"extra\"] }, { name = \"all\", percent = \"10\", on = [\"dents\", \"removal\", \"parts\", \"extra\", \"conventional\"] }, { name = \"none\", percent = \"0\", on = [\"parts\"] }]")
        .price();
    assert_eq!(
        tables.lines("A1")[5..],
        // 8.25 % of 10.50 = 0.86625; 10 % of 100.00, the minimum taxed, the other tax not
        ["|tax|tax state||0.87", "|tax|tax all||10.00"]
    );
    assert_eq!(tables.car("A1", "tax_amount"), "10.87");
}

/// Totals of 59.50; own deductibles go before the payer's 50.00; together at
/// most 130.00: 50.00, then 20.00 (its own), 50.00, and of the fourth 10.00.
#[test]
fn the_car_that_crosses_the_event_maximum_pays_partly_and_later_ones_nothing() {
    let tables = car(&["A1", "B2", "C3", "D4", "E5"])
        .vehicles("stock,deductible\nA1,\nB2,20.00\nC3,\nD4,1000\nE5,\n")
        .terms("deductible = \"50.00\"\ndeductible_event_max = \"130.00\"")
        .price();
    let owners = ["A1", "B2", "C3", "D4", "E5"].map(|stock| tables.car(stock, "owner_pays"));
    assert_eq!(owners, ["50.00", "20.00", "50.00", "10.00", "0.00"]);
    assert_eq!(tables.car("D4", "payer_pays"), "49.50");
    assert_eq!(tables.total("storm", "Small storm", "owner_pays"), "130.00");
    // 5 x 59.50 - 130.00
    assert_eq!(tables.total("storm", "Small storm", "payer_pays"), "167.50");
}

#[test]
fn an_owner_never_pays_more_than_the_total() {
    let tables = car(&["A1"]).terms("deductible = \"500.00\"").price();
    assert_eq!(
        [
            tables.car("A1", "owner_pays"),
            tables.car("A1", "payer_pays")
        ],
        ["59.50", "0.00"]
    );
}

#[test]
fn lot_order_decides_who_still_pays_a_deductible() {
    // The list's order is C3, A1; the sheet's is A1, C3.
    let tables = car(&["A1", "C3"])
        .vehicles("stock\nC3\nA1\n")
        .terms("deductible = \"50.00\"\ndeductible_event_max = \"50.00\"")
        .price();
    assert_eq!(
        [
            tables.car("C3", "owner_pays"),
            tables.car("A1", "owner_pays")
        ],
        ["50.00", "0.00"]
    );
}

/// Total 59.50; 75 % of 79.3333... A value of 79.33: 59.4975, below the total;
/// of 79.34: 59.505, above it. With 50 % and a value of 119.00: exactly 59.50.
#[test]
fn the_total_loss_flag_compares_with_the_value() {
    let flag = |value: &str, term: &str| {
        car(&["A1"])
            .vehicles(&format!("stock,value\nA1,{value}\n"))
            .terms(&format!("total_loss = {{ {term}, hail_exempt = false }}"))
            .price()
            .car("A1", "flags")
            .to_owned()
    };
    assert_eq!(
        flag("79.33", "percent = \"75\", compare = \">\""),
        "total-loss"
    );
    assert_eq!(flag("79.34", "percent = \"75\", compare = \">=\""), "");
    assert_eq!(
        flag("119.00", "percent = \"50\", compare = \">=\""),
        "total-loss"
    );
    assert_eq!(flag("119.00", "percent = \"50\", compare = \">\""), "");
    // No value, or one of 0, is never compared.
    assert_eq!(flag("", "percent = \"50\", compare = \">=\""), "");
    assert_eq!(flag("0", "percent = \"50\", compare = \">=\""), "");
}

#[test]
fn hail_may_be_exempt_and_a_quote_may_leave_the_flag_open() {
    let storm = |exempt: &str, value: &str| {
        OneCar::new("stock,panel,dime,oversize\nA1,hood,12,300\n")
            .vehicles(&format!("stock,value\nA1,{value}\n"))
            .terms(&format!(
                "total_loss = {{ percent = \"50\", compare = \">=\", hail_exempt = {exempt} }}"
            ))
            .price()
            .car("A1", "flags")
            .to_owned()
    };
    // known so far 20.00: half of 40.00 is reached, half of 41.00 not yet known
    assert_eq!(storm("false", "40.00"), "total-loss");
    assert_eq!(storm("false", "41.00"), "total-loss-unknown");
    assert_eq!(storm("true", "40.00"), "");
}

#[test]
fn currencies_of_no_and_of_three_places() {
    let price = |currency: &'static str| {
        OneCar::new("stock,panel,dime\nA1,hood,12\n")
            .card_with("\"20.00\"", "\"20.5555\"")
            .currency(currency)
            .terms("discount = [{ on = [\"dents\"], percent = \"10\" }]")
            .price()
            .lines("A1")
    };
    // 20.5555 -> 21; 10 % of 21 = 2.1 -> 2. In dinars 20.556 and 2.0556 -> 2.056.
    assert_eq!(
        price("JPY"),
        ["hood|dents|dents dime|12|21", "|dents|discount||-2"]
    );
    assert_eq!(
        price("KWD"),
        ["hood|dents|dents dime|12|20.556", "|dents|discount||-2.056"]
    );
}
