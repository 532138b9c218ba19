//! `storm.toml` → [`Settings`]: the storm's name, terms, and how its sheets are read.

mod bills;
mod chance;
mod pay;
mod raw;
mod sample;
mod terms;
mod time;

pub use sample::{ListWord, SampleTerms};
pub use terms::event_max_problem;

use super::card_file;
use super::header::{HeaderReader, Layout};
use super::names::Names;
use super::problem::{Place, Problem, Problems, Severity};
use super::source::Source;
use super::toml_doc::{Doc, Scalar, Span};
use crate::billing::BillTerms;
use crate::crew::TimeTerms;
use crate::money::{Currency, Percent};
use crate::pay::PayTerms;
use crate::rates::{RateCard, Rates, Terms};
use crate::storm::words::{self, PanelWord, Vocabulary};
use crate::storm::{Debtor, Party, Payer, Sender};
use crate::units::LengthUnit;
use jiff::civil::Date;
use raw::{RawIntake, RawPayer, RawSender, RawStorm};
use std::collections::BTreeMap;

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
    /// Shares, and how the crew is paid.
    pub pay: PayTerms,
    /// How cars are billed.
    pub bills: BillTerms,
    /// Hours, time standard and bays.
    pub time: TimeTerms,
    /// What the counted cars are a sample of.
    pub sample: SampleTerms,
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

/// The most payers of a storm: names are compared with each other.
const MOST_PAYERS: usize = 1_000;

/// Reads storm.toml and the cards that it names, or the one card given instead.
pub fn read(
    source: &dyn Source,
    card_instead: Option<(&dyn Source, &str)>,
    problems: &mut Problems,
) -> Option<Settings> {
    let before = problems.errors();
    let mut doc = Doc::open(source, "storm.toml", 0, problems)?;
    let raw: RawStorm = doc.read()?;
    let mut reader = StormReader {
        doc: &mut doc,
        own_columns: Vec::new(),
    };
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
    let pay = reader.pay(&raw.share, raw.pay.as_ref());
    let bills = reader.bills(raw.bills.as_ref());
    let hours = reader.hours(raw.hours.as_ref());
    let standard = reader.standard(raw.time.as_ref());
    let site = reader.site(raw.site.as_ref());
    let chance = reader.chance(raw.chance.as_ref());
    let staff = reader.staff(raw.staff.as_ref(), currency);
    let mut vocabulary = Vocabulary::default();
    let intake = reader.intake(raw.intake.as_ref(), &mut vocabulary);
    let sample = reader.sample(raw.sample.as_ref(), &intake);
    if let Some(first) = raw.payer.get(MOST_PAYERS) {
        let found = format!("{} of them", raw.payer.len());
        let expected = format!("at most {MOST_PAYERS} of [[payer]]");
        reader
            .doc
            .fault_key(&first.span(), "payer", found, expected);
        return None;
    }
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
        let party = reader.party(entry);
        payers.extend(payer.map(|name| Payer { name, party }));
        terms.extend(card.map(|card| Terms { card, ..read }));
    }
    let own_columns = reader.own_columns;
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
    check_own_columns(own_columns, &intake, &vocabulary, &names, problems);
    let any = card_instead.is_some();
    let time = TimeTerms {
        hours,
        standard: standard.map(|draft| draft.of_names(&names, any, problems)),
        site,
        chance,
        staff,
    };
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
        pay,
        bills,
        time,
        sample,
        intake,
        vocabulary,
        any_payer: false,
        event_max_alone,
    })
}

/// A team's own word for a column must stand for one that there is.
fn check_own_columns(
    own: Vec<(String, Place)>,
    options: &IntakeOptions,
    vocabulary: &Vocabulary,
    names: &Names,
    problems: &mut Problems,
) {
    let headers = HeaderReader {
        options,
        vocabulary,
        names,
    };
    for (word, place) in own {
        let known =
            headers.is_known(&word) || super::agreed_list::COLUMNS.which(&word, options).is_some();
        if known {
            continue;
        }
        problems.push_stopping(Problem {
            severity: Severity::Error,
            place,
            meant: headers.nearest_column(&word, Layout::Panels),
            found: word,
            expected: "a known column".to_owned(),
            stock: None,
        });
    }
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
            party: Party::default(),
        }],
        rates: Rates {
            cards: vec![card],
            terms: vec![terms],
        },
        names,
        pay: PayTerms::default(),
        bills: BillTerms::default(),
        time: TimeTerms::default(),
        sample: SampleTerms::default(),
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
    /// What a team's own column words stand for, to be checked once the
    /// cards have told their size classes.
    own_columns: Vec<(String, Place)>,
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
        for (own, value) in &raw.columns {
            if let Some(known) = self.doc.name(value) {
                let place = self.doc.place(&value.span());
                self.own_columns.push((known.clone(), place));
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
        if folded == Debtor::OWNER {
            let expected = "another name: `owner` is who bears a car's deductible";
            self.doc.fault(&value.span(), expected);
            return None;
        }
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
}
