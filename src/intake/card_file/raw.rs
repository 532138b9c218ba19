//! A card as serde reads it, before anything is checked.

use super::super::toml_doc::{List, Scalar};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt;
use toml::Spanned;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawCard {
    pub name: Option<Scalar>,
    pub rounding: Option<Scalar>,
    pub mixed_sizes: Option<Scalar>,
    pub uplifts: Option<Scalar>,
    pub hour_rate: Option<Scalar>,
    pub removal_rate: Option<Scalar>,
    #[serde(default)]
    pub size: Vec<Spanned<RawSize>>,
    #[serde(default)]
    pub grid: Vec<Spanned<BTreeMap<String, Spanned<RawCell>>>>,
    #[serde(default)]
    pub oversize: Vec<Spanned<RawStep>>,
    #[serde(default)]
    pub uplift: Vec<Spanned<RawUplift>>,
    #[serde(default)]
    pub limit: Vec<Spanned<RawLimit>>,
    #[serde(default)]
    pub conventional: Vec<Spanned<RawConventional>>,
    #[serde(default)]
    pub removal: Vec<Spanned<RawRemoval>>,
    #[serde(default)]
    pub extra: Vec<Spanned<RawExtra>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawSize {
    pub name: Option<Scalar>,
    pub upto_mm: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawStep {
    pub upto_mm: Option<Scalar>,
    pub each: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawUplift {
    pub name: Option<Scalar>,
    pub percent: Option<Scalar>,
    pub on: Option<List>,
    pub metal: Option<List>,
    pub access: Option<List>,
    pub panels: Option<List>,
    pub bodies: Option<List>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawLimit {
    pub panels: Option<List>,
    pub amount: Option<Scalar>,
    pub then: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawConventional {
    pub panels: Option<List>,
    pub amount: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawRemoval {
    pub code: Option<Scalar>,
    pub hours: Option<Spanned<RawHours>>,
    pub once_per: Option<Scalar>,
    pub parts: Option<Scalar>,
    pub includes: Option<List>,
    #[serde(default)]
    pub auto: Vec<Spanned<RawAuto>>,
    pub caution: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawAuto {
    pub panels: Option<List>,
    pub dents_at_least: Option<Scalar>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RawExtra {
    pub name: Option<Scalar>,
    pub per: Option<Scalar>,
    pub amount: Option<Scalar>,
}

/// A grid's value: one scalar, or a list with the place of every item.
pub enum RawCell {
    One(toml::Value),
    Many(Vec<Scalar>),
}

/// A removal's hours: one figure, or one by body.
pub enum RawHours {
    One(toml::Value),
    ByBody(BTreeMap<String, Scalar>),
}

struct OneOrMany<T>(std::marker::PhantomData<T>);

impl<'de, T: FromParts> serde::de::Visitor<'de> for OneOrMany<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", T::EXPECTED)
    }

    fn visit_str<E>(self, text: &str) -> Result<T, E> {
        Ok(T::one(toml::Value::String(text.to_owned())))
    }

    fn visit_i64<E>(self, number: i64) -> Result<T, E> {
        Ok(T::one(toml::Value::Integer(number)))
    }

    fn visit_f64<E>(self, number: f64) -> Result<T, E> {
        Ok(T::one(toml::Value::Float(number)))
    }

    fn visit_bool<E>(self, truth: bool) -> Result<T, E> {
        Ok(T::one(toml::Value::Boolean(truth)))
    }

    fn visit_seq<A: serde::de::SeqAccess<'de>>(self, mut items: A) -> Result<T, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        T::many(list).ok_or_else(|| serde::de::Error::custom(T::EXPECTED))
    }

    fn visit_map<A: serde::de::MapAccess<'de>>(self, mut entries: A) -> Result<T, A::Error> {
        let mut table = BTreeMap::new();
        while let Some((key, value)) = entries.next_entry()? {
            table.insert(key, value);
        }
        T::table(table).ok_or_else(|| serde::de::Error::custom(T::EXPECTED))
    }
}

trait FromParts: Sized {
    const EXPECTED: &'static str;
    fn one(value: toml::Value) -> Self;
    fn many(_items: Vec<Scalar>) -> Option<Self> {
        None
    }
    fn table(_entries: BTreeMap<String, Scalar>) -> Option<Self> {
        None
    }
}

impl FromParts for RawCell {
    const EXPECTED: &'static str = "a quoted figure or a list of them";
    fn one(value: toml::Value) -> RawCell {
        RawCell::One(value)
    }
    fn many(items: Vec<Scalar>) -> Option<RawCell> {
        Some(RawCell::Many(items))
    }
}

impl FromParts for RawHours {
    const EXPECTED: &'static str = "quoted hours, or a table of them by body";
    fn one(value: toml::Value) -> RawHours {
        RawHours::One(value)
    }
    fn table(entries: BTreeMap<String, Scalar>) -> Option<RawHours> {
        Some(RawHours::ByBody(entries))
    }
}

impl<'de> Deserialize<'de> for RawCell {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<RawCell, D::Error> {
        from.deserialize_any(OneOrMany(std::marker::PhantomData))
    }
}

impl<'de> Deserialize<'de> for RawHours {
    fn deserialize<D: serde::Deserializer<'de>>(from: D) -> Result<RawHours, D::Error> {
        from.deserialize_any(OneOrMany(std::marker::PhantomData))
    }
}
