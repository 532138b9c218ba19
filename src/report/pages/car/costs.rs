//! What a car costs, and who pays which part of it.

use super::Sheet;
use crate::money::Money;
use crate::pricing::{Item, Line, Status, TOTAL_LOSS_CAUTION, TotalLossFlag};
use crate::report::document::{Block, Table};
use crate::report::pages::sum_text;
use crate::storm::Group;

impl Sheet<'_, '_> {
    /// Every line, their sum by group, and who pays which part of it.
    pub(super) fn lines(&self, blocks: &mut Vec<Block>) {
        let currency = self.report.storm.currency;
        let mut table = Table::new("What it costs")
            .words("panel", 0)
            .words("item", 0)
            .words("how it arose", 0)
            .figures("amount", 0);
        for line in self.priced.ledger.lines() {
            table.row(vec![
                line.panel.map_or("", |panel| panel.word()).into(),
                self.item(line).into(),
                self.explainer.basis(line).into(),
                line.amount
                    .map_or_else(|| "by quote".to_owned(), |amount| self.money(amount))
                    .into(),
            ]);
        }
        let shown = sum_text(currency, self.priced.total());
        let mut foot = |what: &str, how: String, amount: String| {
            table.sums(vec!["".into(), what.into(), how.into(), amount.into()]);
        };
        foot("total", String::new(), shown.clone());
        if let (Some(payer), Some(owner)) = (self.priced.payer_pays, self.priced.owner_pays) {
            let so_far = if self.priced.status == Status::Quote {
                "of what is known so far"
            } else {
                ""
            };
            let why = self.deductible(owner);
            let why = match so_far {
                "" => why,
                so_far => format!("{why}, {so_far}"),
            };
            let name = &self.report.storm.payers[self.car.vehicle.payer].name;
            foot(
                &format!("{name} pays"),
                so_far.to_owned(),
                self.money(payer),
            );
            foot("the owner pays", why, self.money(owner));
        }
        blocks.push(Block::Table(table));
        blocks.push(Block::Text(format!("{} = {shown}", self.group_sums())));
        if let Some(flag) = self.priced.total_loss {
            let said = match flag {
                TotalLossFlag::Reached => "The total reaches the threshold.",
                TotalLossFlag::Unknown => "Not known yet, while a quote is open.",
            };
            blocks.push(Block::Caution {
                about: "total-loss flag".to_owned(),
                text: format!("{said}{} {TOTAL_LOSS_CAUTION}", self.threshold()),
            });
        }
    }

    /// The threshold in figures: ` Total 2,087.43, threshold 75 % of ...`.
    fn threshold(&self) -> String {
        let terms = &self.report.rates.terms[self.car.vehicle.payer];
        let (Some(rule), Some(value)) = (terms.total_loss, self.car.vehicle.value) else {
            return String::new();
        };
        format!(
            " Total {}, threshold {} of the value {} = {}.",
            sum_text(self.report.storm.currency, self.priced.total()),
            rule.percent,
            self.money(value),
            value.exact().percent(rule.percent)
        )
    }

    /// How the owner's part arose.
    fn deductible(&self, owner: Money) -> String {
        let terms = &self.report.rates.terms[self.car.vehicle.payer];
        let (whose, most) = match (self.car.vehicle.deductible, terms.deductible) {
            (Some(own), _) => ("this car's own deductible", own),
            (None, Some(payers)) => ("the payer's deductible", payers),
            (None, None) => return "no deductible".to_owned(),
        };
        let said = format!("{whose} {}", self.money(most));
        let total = self.priced.total().known;
        match terms.deductible_event_max {
            Some(together) if owner < most.min(total) => format!(
                "{said}; of {} at most for all owners of this payer {} was left",
                self.money(together),
                self.money(owner)
            ),
            _ if owner < most => format!("{said}, at most the total"),
            _ => said,
        }
    }

    /// The item, and for a labour or parts line which of both it is.
    fn item(&self, line: &Line) -> String {
        let item = self.explainer.item(line);
        match line.item {
            Item::Removal(_) => format!("R&I {item}"),
            Item::Parts(_) => format!("parts for {item}"),
            _ => item,
        }
    }

    fn group_sums(&self) -> String {
        let parts: Vec<String> = Group::ALL
            .into_iter()
            .filter_map(|group| {
                let sum = self.priced.ledger.sum(group);
                let lines = sum.priced + sum.open;
                let known = sum.shown()?;
                (lines > 0).then(|| format!("{} {}", group.word(), self.money(known)))
            })
            .collect();
        parts.join(" + ")
    }
}
