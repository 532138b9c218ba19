//! One car as text and as JSON.

use super::grid::{Kind, Value, columns};
use super::json::grid_to_json;
use super::pages::{CarPhotos, car_page};
use super::plain::document_text;
use super::storm_report::{StormReport, line_grid};
use super::terminal::Width;
use crate::money::Money;
use crate::pricing::{Explainer, TotalLossFlag};

/// A car's sheet as text.
#[must_use]
pub fn car_sheet(report: &StormReport<'_>, index: usize, width: Width) -> String {
    let photos = CarPhotos::Here(Vec::new());
    document_text(&car_page(report, index, photos), width)
}

/// A car's sheet as JSON.
#[must_use]
pub fn car_sheet_json(report: &StormReport<'_>, index: usize) -> serde_json::Value {
    let currency = report.storm.currency;
    let car = &report.storm.cars[index];
    let priced = &report.priced.cars[index];
    let explainer = Explainer::new(report.storm, report.rates, car.vehicle.payer);
    let lines = line_grid(report, index..index + 1);
    let mut voided = super::Grid {
        columns: columns(&[
            ("panel", Kind::Text),
            ("item", Kind::Text),
            ("amount", Kind::Money),
            ("basis", Kind::Text),
        ]),
        rows: Vec::new(),
    };
    let mut referred = Vec::new();
    for panel in &priced.panels {
        if let Some(reason) = panel.referral {
            referred.push(serde_json::json!({
                "panel": panel.panel.word(), "reason": reason.word(),
            }));
        }
        for line in &panel.voided {
            voided.rows.push(vec![
                Value::text(panel.panel.word()),
                Value::text(explainer.item(line)),
                Value::money(line.amount),
                Value::text(explainer.basis(line)),
            ]);
        }
    }
    let amount = |amount: Option<Money>| amount.map(|amount| currency.text(amount));
    serde_json::json!({
        "format": 1,
        "stock": car.vehicle.stock,
        "payer": report.storm.payers[car.vehicle.payer].name,
        "currency": currency.code(),
        "status": priced.status.word(),
        "lines": grid_to_json(&lines, currency),
        "total": amount(priced.total().shown()),
        "payer_pays": amount(priced.payer_pays),
        "owner_pays": amount(priced.owner_pays),
        "referred": referred,
        "voided": grid_to_json(&voided, currency),
        "total_loss": priced.total_loss.map(TotalLossFlag::word),
    })
}
