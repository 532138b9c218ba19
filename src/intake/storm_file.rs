//! `storm.toml` → [`Settings`]: the storm's name, terms, and how its sheets are read.

use super::card_file;
use super::names::Names;
use super::problem::{Place, Problem, Problems, Severity};
use super::source::Source;
use super::toml_doc::{Doc, List, Scalar, Span};
use crate::money::{Currency, Money, Percent};
use crate::rates::{LotTier, RateCard, Rates, Tax, Terms, TotalLoss};
use crate::storm::words::{self, PanelWord, Vocabulary};
use crate::storm::{Group, Payer, Sender};
use crate::units::LengthUnit;
use jiff::civil::Date;
use serde::Deserialize;
use std::collections::BTreeMap;
use toml::Spanned;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawStorm {
    name: Option<Scalar>,
    date: Option<Scalar>,
    currency: Option<Scalar>,
    unit: Option<Scalar>,
    #[serde(default)]
    payer: Vec<Spanned<RawPayer>>,
    intake: Option<RawIntake>,
    from: Option<RawSender>,
    // Sections of the plan, the pay and the estimate. Each has its own
    // reader; here they are known, so that a misspelt section is not.
    #[serde(rename = "hours")]
    _hours: Option<toml::Value>,
    #[serde(rename = "time")]
    _time: Option<toml::Value>,
    #[serde(rename = "share")]
    _share: Option<toml::Value>,
    #[serde(rename = "pay")]
    _pay: Option<toml::Value>,
    #[serde(rename = "site")]
    _site: Option<toml::Value>,
    #[serde(rename = "staff")]
    _staff: Option<toml::Value>,
    #[serde(rename = "chance")]
    _chance: Option<toml::Value>,
    #[serde(rename = "sample")]
    _sample: Option<toml::Value>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawPayer {
    name: Option<Scalar>,
    rate_card: Option<Scalar>,
    #[serde(default)]
    discount: Vec<Spanned<RawDiscount>>,
    #[serde(default)]
    lot_discount: Vec<Spanned<RawTier>>,
    minimum: Option<Scalar>,
    #[serde(default)]
    tax: Vec<Spanned<RawTax>>,
    deductible: Option<Scalar>,
    deductible_event_max: Option<Scalar>,
    total_loss: Option<Spanned<RawTotalLoss>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawDiscount {
    on: Option<List>,
    percent: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawTier {
    cars_at_least: Option<Scalar>,
    percent: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawTax {
    name: Option<Scalar>,
    percent: Option<Scalar>,
    on: Option<List>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawTotalLoss {
    percent: Option<Scalar>,
    compare: Option<Scalar>,
    hail_exempt: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawIntake {
    #[serde(default)]
    columns: BTreeMap<String, Scalar>,
    #[serde(default)]
    panels: BTreeMap<String, Scalar>,
    ignore: Option<List>,
    repeated: Option<Scalar>,
    blank_stock: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawSender {
    name: Option<Scalar>,
    address: Option<Scalar>,
    phone: Option<Scalar>,
    email: Option<Scalar>,
    registration: Option<Scalar>,
    note: Option<Scalar>,
}

/// What the same stock and panel twice means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Repeated {
    /// An error with both places.
    #[default]
    Refuse,
    /// Counts join.
    Add,
    /// The later row replaces the earlier.
    Last,
}

/// How sheets are read: `[intake]`.
#[derive(Debug, Clone, Default)]
pub struct IntakeOptions {
    /// Folded headers of a team → known columns, folded.
    pub columns: BTreeMap<String, String>,
    /// Folded headers that are left out.
    pub ignore: Vec<String>,
    /// What a repeated stock and panel means.
    pub repeated: Repeated,
    /// Whether a blank stock means the one above.
    pub stock_above: bool,
}

/// All that storm.toml and its cards say, checked.
#[derive(Debug)]
pub struct Settings {
    /// The storm's name.
    pub name: String,
    /// The day of the hail.
    pub date: Option<Date>,
    /// The currency.
    pub currency: Currency,
    /// The unit of dents.
    pub unit: LengthUnit,
    /// Who sends the sheets.
    pub sender: Sender,
    /// Who pays.
    pub payers: Vec<Payer>,
    /// Cards and terms.
    pub rates: Rates,
    /// Names shared by the cards.
    pub names: Names,
    /// How sheets are read.
    pub intake: IntakeOptions,
    /// Words for panels, with the team's own.
    pub vocabulary: Vocabulary,
    /// Whether any word for a payer means the one there is (a lone count sheet).
    pub any_payer: bool,
    /// Per payer: where `deductible_event_max` stands without the payer
    /// having a deductible; a car's own may still bear it.
    pub event_max_alone: Vec<Option<(Place, String)>>,
}

/// Reads storm.toml and the cards that it names, or the one card given instead.
pub fn read(
    source: &dyn Source,
    card_instead: Option<(&dyn Source, &str)>,
    problems: &mut Problems,
) -> Option<Settings> {
    let before = problems.errors();
    let mut doc = Doc::open(source, "storm.toml", 0, problems)?;
    let raw: RawStorm = doc.read()?;
    let mut reader = StormReader { doc: &mut doc };
    let name = reader.required(raw.name.as_ref(), "name", "the storm's name");
    let date = reader.date(raw.date.as_ref());
    let currency = reader.currency(raw.currency.as_ref());
    let unit = raw
        .unit
        .as_ref()
        .and_then(|unit| {
            reader.doc.word(
                unit,
                &[("mm", LengthUnit::Millimetre), ("in", LengthUnit::Inch)],
            )
        })
        .unwrap_or_default();
    let sender = reader.sender(raw.from);
    let mut vocabulary = Vocabulary::default();
    let intake = reader.intake(raw.intake.as_ref(), &mut vocabulary);
    if raw.payer.is_empty() {
        reader
            .doc
            .fault_key(&(0..0), "payer", "", "at least one [[payer]]");
    }
    let mut payers: Vec<Payer> = Vec::new();
    let mut terms = Vec::new();
    let mut event_max_alone = Vec::new();
    let mut card_paths: Vec<(String, Place)> = Vec::new();
    for entry in &raw.payer {
        let (span, entry) = (entry.span(), entry.get_ref());
        let payer = reader.payer_name(&span, entry, &payers);
        let card = match card_instead {
            Some(_) => Some(0),
            None => reader.card_path(&span, entry, source, &mut card_paths),
        };
        let (read, alone) = reader.terms(entry, currency);
        event_max_alone.push(alone);
        payers.extend(payer.map(|name| Payer { name }));
        terms.extend(card.map(|card| Terms { card, ..read }));
    }
    let mut names = Names::default();
    let mut cards = Vec::new();
    if let Some((card_source, path)) = card_instead {
        cards.extend(read_card(card_source, path, 1, &mut names, problems));
    } else {
        let mut order: Vec<usize> = (0..card_paths.len()).collect();
        order.sort_by(|a, b| card_paths[*a].0.cmp(&card_paths[*b].0));
        let mut read: Vec<Option<RateCard>> = vec![None; card_paths.len()];
        for (rank, index) in order.into_iter().enumerate() {
            let rank = u32::try_from(rank).unwrap_or(u32::MAX).saturating_add(1);
            read[index] = read_card(source, &card_paths[index].0, rank, &mut names, problems);
        }
        cards.extend(read.into_iter().flatten());
    }
    if problems.errors() > before {
        return None;
    }
    Some(Settings {
        name: name?,
        date,
        currency: currency?,
        unit,
        sender,
        payers,
        rates: Rates { cards, terms },
        names,
        intake,
        vocabulary,
        any_payer: false,
        event_max_alone,
    })
}

/// Settings for count sheets without a storm: one payer without terms, on one card.
pub fn lone(name: &str, currency: Currency, card: RateCard, names: Names) -> Settings {
    let terms = Terms {
        card: 0,
        discount: [Percent::ZERO; 6],
        lot_discount: Vec::new(),
        minimum: None,
        taxes: Vec::new(),
        deductible: None,
        deductible_event_max: None,
        total_loss: None,
    };
    Settings {
        name: name.to_owned(),
        date: None,
        currency,
        unit: LengthUnit::default(),
        sender: Sender::default(),
        payers: vec![Payer {
            name: "no payer named".to_owned(),
        }],
        rates: Rates {
            cards: vec![card],
            terms: vec![terms],
        },
        names,
        intake: IntakeOptions::default(),
        vocabulary: Vocabulary::default(),
        any_payer: true,
        event_max_alone: vec![None],
    }
}

fn read_card(
    source: &dyn Source,
    path: &str,
    order: u32,
    names: &mut Names,
    problems: &mut Problems,
) -> Option<RateCard> {
    let mut doc = Doc::open(source, path, order, problems)?;
    card_file::read(&mut doc, source, path, names)
}

/// Reads one card by itself, for a lone count sheet or `--card`.
pub fn lone_card(
    source: &dyn Source,
    path: &str,
    names: &mut Names,
    problems: &mut Problems,
) -> Option<RateCard> {
    read_card(source, path, 0, names, problems)
}

struct StormReader<'d, 'p> {
    doc: &'d mut Doc<'p>,
}

impl StormReader<'_, '_> {
    fn required(&mut self, value: Option<&Scalar>, key: &str, expected: &str) -> Option<String> {
        match value {
            Some(value) => self.doc.name(value),
            None => {
                self.doc
                    .fault_key(&(0..0), key, "", format!("`{key}`: {expected}"));
                None
            }
        }
    }

    fn date(&mut self, value: Option<&Scalar>) -> Option<Date> {
        let value = value?;
        let written = self.doc.source_text(&value.span());
        let date = written.parse::<Date>().ok();
        if date.is_none() {
            self.doc.fault(&value.span(), "a date such as 2026-06-14");
        }
        date
    }

    fn currency(&mut self, value: Option<&Scalar>) -> Option<Currency> {
        let Some(value) = value else {
            self.doc.fault_key(
                &(0..0),
                "currency",
                "",
                "`currency`: a currency of ISO 4217, such as \"USD\"",
            );
            return None;
        };
        let code = self.doc.text(value)?;
        let currency = Currency::from_code(&code);
        if currency.is_none() {
            let meant = Currency::from_code(&code.trim().to_uppercase())
                .map(|currency| currency.code().to_owned());
            self.doc
                .fault_meant(&value.span(), "a currency of ISO 4217", meant);
        }
        currency
    }

    fn sender(&mut self, raw: Option<RawSender>) -> Sender {
        let Some(raw) = raw else {
            return Sender::default();
        };
        let mut text = |value: Option<Scalar>| {
            value
                .and_then(|value| self.doc.text(&value))
                .unwrap_or_default()
        };
        Sender {
            name: text(raw.name),
            address: text(raw.address),
            phone: text(raw.phone),
            email: text(raw.email),
            registration: text(raw.registration),
            note: text(raw.note),
        }
    }

    fn intake(&mut self, raw: Option<&RawIntake>, vocabulary: &mut Vocabulary) -> IntakeOptions {
        let Some(raw) = raw else {
            return IntakeOptions::default();
        };
        let mut options = IntakeOptions::default();
        for (own, known) in &raw.columns {
            if let Some(known) = self.doc.name(known) {
                options
                    .columns
                    .insert(words::fold(own), words::fold(&known));
            }
        }
        for (own, known) in &raw.panels {
            let Some(word) = self.doc.name(known) else {
                continue;
            };
            match vocabulary.panel(&word) {
                Some(PanelWord::One(panel)) => vocabulary.add_panel(own, panel),
                Some(PanelWord::NoSide(panels)) => {
                    let sides: Vec<&str> = panels.iter().map(|panel| panel.word()).collect();
                    self.doc.fault(
                        &known.span(),
                        format!("a side: {}", super::toml_doc::one_of(&sides)),
                    );
                }
                None => {
                    let meant = vocabulary.nearest_panel(&word);
                    self.doc.fault_meant(&known.span(), "a panel", meant);
                }
            }
        }
        if let Some(list) = &raw.ignore {
            for item in list.get_ref() {
                if let Some(text) = self.doc.text(item) {
                    options.ignore.push(words::fold(&text));
                }
            }
        }
        if let Some(value) = &raw.repeated {
            options.repeated = self
                .doc
                .word(
                    value,
                    &[
                        ("refuse", Repeated::Refuse),
                        ("add", Repeated::Add),
                        ("last", Repeated::Last),
                    ],
                )
                .unwrap_or_default();
        }
        if let Some(value) = &raw.blank_stock {
            options.stock_above = self
                .doc
                .word(value, &[("above", true), ("refuse", false)])
                .unwrap_or_default();
        }
        options
    }

    fn payer_name(&mut self, span: &Span, raw: &RawPayer, known: &[Payer]) -> Option<String> {
        let Some(value) = &raw.name else {
            self.doc
                .fault_key(span, "name", "", "`name`: the payer's name");
            return None;
        };
        let name = self.doc.name(value)?;
        let folded = words::fold(&name);
        if known.iter().any(|payer| words::fold(&payer.name) == folded) {
            self.doc.fault(&value.span(), "a payer's name once");
            return None;
        }
        Some(name)
    }

    /// The card's index among the paths met so far.
    fn card_path(
        &mut self,
        span: &Span,
        raw: &RawPayer,
        source: &dyn Source,
        paths: &mut Vec<(String, Place)>,
    ) -> Option<usize> {
        let Some(value) = &raw.rate_card else {
            self.doc.fault_key(
                span,
                "rate_card",
                "",
                "`rate_card`: the card's file, such as \"rates/open-lot.toml\"",
            );
            return None;
        };
        let path = self.doc.name(value)?;
        if path.starts_with('/') || path.contains('\\') || path.split('/').any(|part| part == "..")
        {
            self.doc
                .fault(&value.span(), "a file inside the storm's folder");
            return None;
        }
        if let Some(index) = paths.iter().position(|(known, _)| *known == path) {
            return Some(index);
        }
        if !source.has(&path) {
            let near = source.list("rates").ok().and_then(|names| {
                let names: Vec<String> = names
                    .into_iter()
                    .map(|(name, _)| format!("rates/{name}"))
                    .filter(|name| name.ends_with(".toml"))
                    .collect();
                words::nearest(&path, names.iter().map(String::as_str)).map(str::to_owned)
            });
            self.doc
                .fault_meant(&value.span(), "a file that exists", near);
            return None;
        }
        let place = self.doc.place(&value.span());
        paths.push((path, place));
        Some(paths.len() - 1)
    }

    fn terms(
        &mut self,
        raw: &RawPayer,
        currency: Option<Currency>,
    ) -> (Terms, Option<(Place, String)>) {
        let discount = self.discounts(&raw.discount);
        let lot_discount = self.tiers(&raw.lot_discount);
        self.check_discounts(raw, &discount, &lot_discount);
        let taxes = self.taxes(&raw.tax);
        let deductible = self.amount(raw.deductible.as_ref(), currency);
        let deductible_event_max = self.amount(raw.deductible_event_max.as_ref(), currency);
        let alone = match (&raw.deductible_event_max, &raw.deductible) {
            (Some(value), None) => Some((
                self.doc.place(&value.span()),
                self.doc.source_text(&value.span()),
            )),
            _ => None,
        };
        let terms = Terms {
            card: 0,
            discount,
            lot_discount,
            minimum: self.amount(raw.minimum.as_ref(), currency),
            taxes,
            deductible,
            deductible_event_max,
            total_loss: raw.total_loss.as_ref().and_then(|raw| self.total_loss(raw)),
        };
        (terms, alone)
    }

    fn amount(&mut self, value: Option<&Scalar>, currency: Option<Currency>) -> Option<Money> {
        let value = value?;
        let number = self.doc.decimal(value)?;
        let currency = currency?;
        let amount = currency.amount(number);
        if amount.is_none() {
            let places = currency.places();
            let expected = match places {
                0 => "no finer than the currency, which has no decimals".to_owned(),
                1 => "no finer than the currency's one place".to_owned(),
                places => format!("no finer than the currency's {places} places"),
            };
            self.doc.fault(&value.span(), expected);
        }
        amount
    }

    fn groups(&mut self, list: &List, known: &[Group]) -> Option<Vec<Group>> {
        let known: Vec<(&'static str, Group)> =
            known.iter().map(|group| (group.word(), *group)).collect();
        self.doc.word_list(list, &known, |_| None)
    }

    fn discounts(&mut self, raw: &[Spanned<RawDiscount>]) -> [Percent; 6] {
        let mut discount = [Percent::ZERO; 6];
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let groups = match &entry.on {
                Some(list) => self.groups(list, &Group::ALL[..5]),
                None => {
                    self.doc
                        .fault_key(&span, "on", "", "`on`: the groups that it is off");
                    None
                }
            };
            let percent = match &entry.percent {
                Some(value) => self.doc.percent(value, 100),
                None => {
                    self.doc
                        .fault_key(&span, "percent", "", "`percent`: how much");
                    None
                }
            };
            for group in groups.unwrap_or_default() {
                let slot = &mut discount[group.index()];
                *slot = *slot + percent.unwrap_or_default();
            }
        }
        discount
    }

    fn tiers(&mut self, raw: &[Spanned<RawTier>]) -> Vec<LotTier> {
        let mut tiers: Vec<LotTier> = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let cars = match &entry.cars_at_least {
                Some(value) => {
                    let cars = self.doc.whole(value);
                    if let (Some(cars), Some(last)) = (cars, tiers.last())
                        && cars <= last.cars_at_least
                    {
                        self.doc.fault(
                            &value.span(),
                            format!(
                                "more than {}: tiers stand fewest cars first",
                                last.cars_at_least
                            ),
                        );
                    }
                    cars
                }
                None => {
                    self.doc.fault_key(
                        &span,
                        "cars_at_least",
                        "",
                        "`cars_at_least`: from how many cars",
                    );
                    None
                }
            };
            let percent = match &entry.percent {
                Some(value) => self.doc.percent(value, 100),
                None => {
                    self.doc
                        .fault_key(&span, "percent", "", "`percent`: how much");
                    None
                }
            };
            if let (Some(cars_at_least), Some(percent)) = (cars, percent) {
                tiers.push(LotTier {
                    cars_at_least,
                    percent,
                });
            }
        }
        tiers
    }

    /// Standing discounts and the highest tier may take at most the whole.
    fn check_discounts(&mut self, raw: &RawPayer, standing: &[Percent; 6], tiers: &[LotTier]) {
        let whole = Percent(rust_decimal::Decimal::ONE_HUNDRED);
        let tier = tiers
            .iter()
            .map(|tier| tier.percent)
            .max()
            .unwrap_or_default();
        for group in Group::ALL {
            let mut together = standing[group.index()];
            if group == Group::Dents {
                together = together + tier;
            }
            if together <= whole {
                continue;
            }
            let (span, key) = match (raw.discount.first(), raw.lot_discount.first()) {
                (Some(first), _) => (first.span(), "discount"),
                (None, Some(first)) => (first.span(), "lot_discount"),
                (None, None) => return,
            };
            self.doc.fault_key(
                &span,
                key,
                together.0.normalize().to_string(),
                format!("at most 100 together on {}", group.word()),
            );
        }
    }

    fn taxes(&mut self, raw: &[Spanned<RawTax>]) -> Vec<Tax> {
        let mut taxes: Vec<Tax> = Vec::new();
        for entry in raw {
            let (span, entry) = (entry.span(), entry.get_ref());
            let name = match &entry.name {
                Some(value) => self.doc.name(value).filter(|name| {
                    let folded = words::fold(name);
                    let twice = taxes.iter().any(|tax| words::fold(&tax.name) == folded);
                    if twice {
                        self.doc.fault(&value.span(), "a tax's name once");
                    }
                    !twice
                }),
                None => {
                    self.doc
                        .fault_key(&span, "name", "", "`name`: the tax's name");
                    None
                }
            };
            let percent = match &entry.percent {
                Some(value) => self.doc.percent(value, 100),
                None => {
                    self.doc
                        .fault_key(&span, "percent", "", "`percent`: the rate");
                    None
                }
            };
            let on = match &entry.on {
                Some(list) => self.groups(list, &Group::ALL[..5]),
                None => {
                    self.doc
                        .fault_key(&span, "on", "", "`on`: the groups that it is on");
                    None
                }
            };
            if let (Some(name), Some(percent), Some(groups)) = (name, percent, on) {
                taxes.push(Tax {
                    name,
                    percent,
                    on: Group::ALL.map(|group| groups.contains(&group)),
                });
            }
        }
        taxes
    }

    fn total_loss(&mut self, raw: &Spanned<RawTotalLoss>) -> Option<TotalLoss> {
        let (span, raw) = (raw.span(), raw.get_ref());
        let percent = match &raw.percent {
            Some(value) => self.doc.percent(value, 1000),
            None => {
                self.doc
                    .fault_key(&span, "percent", "", "`percent`: of the vehicle's value");
                None
            }
        };
        let or_equal = match &raw.compare {
            Some(value) => self.doc.word(value, &[(">=", true), (">", false)]),
            None => {
                self.doc
                    .fault_key(&span, "compare", "", "`compare`: >= or >");
                None
            }
        };
        let hail_exempt = match &raw.hail_exempt {
            Some(value) => self.doc.truth(value),
            None => Some(false),
        };
        Some(TotalLoss {
            percent: percent?,
            or_equal: or_equal?,
            hail_exempt: hail_exempt?,
        })
    }
}

/// The error of an event maximum that no deductible stands under.
#[must_use]
pub fn event_max_problem(place: &Place, found: &str) -> Problem {
    Problem {
        severity: Severity::Error,
        place: place.clone(),
        found: found.to_owned(),
        expected: "a deductible: neither this payer nor one of its cars has one".to_owned(),
        meant: None,
        stock: None,
    }
}
