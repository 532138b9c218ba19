//! OWASP, "CSV Injection" (www-community, attacks): no cell may start with
//! `=`, `+`, `-`, `@`, tab or carriage return; a single quote goes before.

use hailyard::report::guarded;

#[test]
fn cells_that_a_spreadsheet_would_run_get_a_quote() {
    for text in [
        "=1+2\";=1+2",
        "+1",
        "-1",
        "@SUM(A1)",
        "\tx",
        "\rx",
        "=cmd|' /C calc'!A0",
    ] {
        assert_eq!(guarded(text), format!("'{text}"));
    }
    for text in ["", "A1", "1-2", "a=b", "'x", " =1"] {
        assert_eq!(guarded(text), text);
    }
}
