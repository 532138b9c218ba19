//! Structured bills before what others publish: the schemas of UBL 2.1 (OASIS) and
//! the rules of EN 16931 for it (CEN/TC 434).

use std::process::Command;

/// Every kind of bill is valid, and holds each rule, also those that only warn; one
/// that was spoiled is found. `tests/clients/ubl.py` says where both come from.
#[test]
#[ignore = "needs Python with lxml, saxonche and the published schemas and rules"]
fn structured_bills_hold_before_the_published_schemas_and_rules() {
    let folder = tempfile::TempDir::new().expect("a temporary folder");
    let samples = crate::billing::ubl::samples();
    for (name, bytes) in &samples {
        let path = folder.path().join(format!("{name}.xml"));
        std::fs::write(path, bytes).expect("written");
    }
    let python = std::env::var("HAILYARD_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let ran = Command::new(python)
        .arg("-c")
        .arg(include_str!("ubl.py"))
        .arg(folder.path())
        .output()
        .expect("Python runs");
    let said = String::from_utf8_lossy(&ran.stdout) + String::from_utf8_lossy(&ran.stderr);
    assert!(ran.status.success(), "{said}");
    let held = format!("{} held", samples.len());
    assert_eq!(said.trim(), held);
}
