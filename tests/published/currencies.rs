//! ISO 4217 minor units, as in the published table of currency codes
//! (datasets/currency-codes, from the ISO 4217 maintenance agency's list).

use hailyard::money::Currency;

#[test]
fn minor_units_are_the_published_ones() {
    let published = [
        (0, "JPY KRW CLP ISK VND XOF PYG"),
        (2, "USD EUR GBP CAD AUD NZD MXN CHF"),
        (3, "BHD IQD JOD KWD LYD OMR TND"),
    ];
    for (places, codes) in published {
        for code in codes.split(' ') {
            let currency = Currency::from_code(code).expect(code);
            assert_eq!((currency.places(), currency.code()), (places, code));
        }
    }
}

#[test]
fn what_has_no_minor_unit_or_is_no_code_is_no_currency() {
    for code in ["XAU", "XXX", "USQ", "usd", "", "US", "USDX", "€"] {
        assert_eq!(Currency::from_code(code), None, "{code}");
    }
}
