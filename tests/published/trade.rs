//! Facts of the trade: common practice, no source.

use crate::builder::OneCar;
use rust_decimal::Decimal;

/// Aluminium is harder to work than steel: with all else equal an aluminium
/// panel never costs less, on any of the cards that come with the program.
#[test]
fn aluminium_never_costs_less_than_steel() {
    let cards = [
        ("data/cards/coins.toml", "nickel"),
        ("data/cards/millimetres.toml", "mm-23"),
        ("data/demo/rates/dunnock.toml", "medium"),
        ("data/demo/rates/bramblecote.toml", "mm-21"),
    ];
    for (path, class) in cards {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
        let card = std::fs::read_to_string(&path).expect("a card");
        for dents in [1, 7, 40, 150] {
            let total = |metal: &str| -> Decimal {
                let mut storm = OneCar::new(&format!(
                    "stock,panel,{class},metal\nA1,hood,{dents},{metal}\n"
                ));
                storm.card.clone_from(&card);
                storm
                    .price()
                    .car("A1", "dents_amount")
                    .parse()
                    .expect("an amount")
            };
            assert!(
                total("aluminium") >= total("steel"),
                "{} at {dents}",
                path.display()
            );
        }
    }
}

/// One large crush of 300 x 140 mm that has pushed the body line in by 22 mm
/// is no hail count: it is a single oversize dent, priced by written quote,
/// with the trim that comes off for it.
#[test]
fn a_crush_with_the_body_line_pushed_in_is_one_oversize_dent_by_written_quote() {
    let storm = OneCar::new("stock,panel,dime,oversize,remove,note\nA1,door-fl,0,300,door-trim,300 x 140 mm; body line in by 22 mm\n")
        .card("[[oversize]]\nupto_mm = \"45\"\neach = \"38.00\"\n[[oversize]]\nupto_mm = \"70\"\neach = \"62.50\"\n[[removal]]\ncode = \"door-trim\"\nhours = \"0.7\"\nonce_per = \"panel\"\nparts = \"6.00\"\n");
    let tables = storm.price();
    assert_eq!(
        tables.lines("A1"),
        [
            "door-fl|dents|oversize above 70 mm|1|",
            // 0.7 h x 58.00
            "door-fl|removal|door-trim|1|40.60",
            "door-fl|parts|door-trim|1|6.00",
        ]
    );
    assert_eq!(tables.car("A1", "status"), "quote");
    assert_eq!(
        [tables.car("A1", "dents"), tables.car("A1", "oversize")],
        ["0", "1"]
    );
    let ran = crate::builder::hailyard(&["car", "A1", &storm.folder().arg()]);
    assert!(
        ran.out
            .contains("Needs a written quote: door-fl oversize above 70 mm"),
        "{}",
        ran.out
    );
}
