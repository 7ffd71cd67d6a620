//! TOML to a checked profile, with errors that point at the line.
//!
//! ```text
//! bed_mm = ["8 in", 220]      a unit as text is turned into the key's own: 203.2
//! enclosd = true              unknown key; did you mean `enclosed`?
//! ```
//!
//! The unit of a key is the end of its name (`_mm`, `_mpa`, `_mm3_s`, ...); keys of a table without one of
//! their own inherit the table's (`[strength_mpa] along = { low = 30, typical = "44 MPa" }`).

use super::error::{ProfileError, WrongProfile};
use crate::units::{
    Acceleration, Angle, Area, Density, Field, Flow, Force, Length, LineLoad, Mass, Speed, Stress, Temperature, Time,
    Torque, UnitError, Volume, nearest,
};
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Something a profile's keys cannot be, though each has the right type.
#[derive(Debug, Clone, PartialEq)]
pub struct Impossible {
    /// Dotted path of the key, such as `strength_mpa.along.low`; array items by number.
    pub key: String,
    /// What is wrong with it.
    pub message: String,
}

impl Impossible {
    /// A check that failed at one key.
    #[must_use]
    pub fn at(key: &str, message: impl Into<String>) -> Self {
        Self { key: key.to_owned(), message: message.into() }
    }
}

/// A profile that can tell impossible values.
pub trait Checked {
    /// The first thing that cannot be, if any.
    ///
    /// # Errors
    /// Where a value is impossible.
    fn check(&self) -> Result<(), Impossible>;
}

/// Fails at `key` unless `holds`; a comparison with NaN does not hold.
///
/// # Errors
/// Where it does not hold.
pub fn ensure(holds: bool, key: &str, message: &str) -> Result<(), Impossible> {
    if holds { Ok(()) } else { Err(Impossible::at(key, message)) }
}

/// Reads and checks a profile; `origin` names it in errors.
///
/// # Errors
/// Where the text is no TOML, or has unknown keys, impossible values or bad units.
pub fn read_profile<T: DeserializeOwned + Checked>(text: &str, origin: &str) -> Result<T, ProfileError> {
    let wrong = |span: Option<Range<usize>>, message: String, remedy: Option<String>| {
        WrongProfile::at(origin, text, span.unwrap_or(0..0), message, remedy)
    };
    let mut numbers = Numbers::new();
    let mut table = DeTable::parse(text).map_err(|e| wrong(e.span(), e.message().to_owned(), None))?;
    find_numbers(table.get_ref(), None, &mut numbers).map_err(|e| wrong(Some(e.span), e.message, None))?;
    table.get_mut().iter_mut().for_each(|(_, value)| put_numbers(value, &numbers));
    let profile = T::deserialize(toml::de::Deserializer::from(table)).map_err(|e| {
        let (message, remedy) = reword(e.message());
        wrong(e.span(), message, remedy)
    })?;
    profile.check().map_err(|e| {
        let span = DeTable::parse(text).ok().and_then(|t| span_of(&t, &e.key));
        wrong(span, format!("`{}` {}", e.key, e.message), None)
    })?;
    Ok(profile)
}

/// A bad value with its place.
struct BadValue {
    span: Range<usize>,
    message: String,
}

/// Reads a text in one unit's words.
type Reader = fn(&str) -> Result<f64, UnitError>;

fn reader<Q: Field>(text: &str) -> Result<f64, UnitError> {
    Q::read(text).map(Q::base)
}

/// Ends of key names and the quantity each holds; longer ends stand before shorter ones.
const UNITS_OF_KEYS: &[(&str, Reader)] = &[
    ("_mm3_s", reader::<Flow>),
    ("_mm_s2", reader::<Acceleration>),
    ("_mm_s", reader::<Speed>),
    ("_g_cm3", reader::<Density>),
    ("_n_per_mm", reader::<LineLoad>),
    ("_n_mm", reader::<Torque>),
    ("_mm3", reader::<Volume>),
    ("_mm2", reader::<Area>),
    ("_mm", reader::<Length>),
    ("_mpa", reader::<Stress>),
    ("_deg", reader::<Angle>),
    ("_c", reader::<Temperature>),
    ("_g", reader::<Mass>),
    ("_s", reader::<Time>),
    ("_n", reader::<Force>),
];

/// Keys that hold words whatever table they stand in.
const WORDS: &[&str] = &["source", "name", "reason", "reasons", "note", "kind", "class", "at", "held"];

fn unit_of(key: &str) -> Option<Reader> {
    UNITS_OF_KEYS.iter().find(|(end, _)| key.ends_with(end)).map(|(_, reader)| *reader)
}

/// Where a text with a unit begins, and the digits of the same in the key's own unit.
type Numbers = BTreeMap<usize, String>;

/// The numbers that texts with units stand for; refuses bad units and numbers that are not finite.
fn find_numbers(table: &DeTable<'_>, inherited: Option<Reader>, found: &mut Numbers) -> Result<(), BadValue> {
    for (key, value) in table {
        let name: &str = key.get_ref();
        if !WORDS.contains(&name) {
            find_number(name, value, unit_of(name).or(inherited), found)?;
        }
    }
    Ok(())
}

fn find_number(
    key: &str,
    value: &Spanned<DeValue<'_>>,
    reader: Option<Reader>,
    found: &mut Numbers,
) -> Result<(), BadValue> {
    let bad = |message: String| BadValue { span: value.span(), message };
    match (value.get_ref(), reader) {
        (DeValue::Table(table), _) => find_numbers(table, reader, found),
        (DeValue::Array(items), _) => items.iter().try_for_each(|item| find_number(key, item, reader, found)),
        (DeValue::Float(number), _) => {
            let finite = number.as_str().replace('_', "").parse().is_ok_and(f64::is_finite);
            if finite { Ok(()) } else { Err(bad(format!("`{key}` must be a finite number"))) }
        }
        (DeValue::String(text), Some(reader)) => {
            let number = reader(text).map_err(|e| bad(format!("`{key}`: {e}")))?;
            found.insert(value.span().start, format!("{number:?}"));
            Ok(())
        }
        _ => Ok(()),
    }
}

/// Puts the numbers in the place of the texts, which keep their spans.
fn put_numbers<'n>(value: &mut Spanned<DeValue<'n>>, numbers: &'n Numbers) {
    let start = value.span().start;
    match value.get_mut() {
        DeValue::Table(table) => table.iter_mut().for_each(|(_, v)| put_numbers(v, numbers)),
        DeValue::Array(items) => items.iter_mut().for_each(|v| put_numbers(v, numbers)),
        text @ DeValue::String(_) => {
            if let Some(number) = numbers.get(&start).and_then(|digits| DeValue::parse(digits).ok()) {
                *text = number.into_inner();
            }
        }
        _ => {}
    }
}

/// The reader's own message in this program's words.
fn reword(message: &str) -> (String, Option<String>) {
    let first = message.lines().next().unwrap_or_default();
    let mut ticked = first.split('`').skip(1).step_by(2);
    if let Some(rest) = first.strip_prefix("unknown field ") {
        let key = ticked.next().unwrap_or(rest);
        let known: Vec<&str> = ticked.collect();
        let remedy = match nearest(key, known.iter().copied()) {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("keys known here: {}", known.join(", ")),
        };
        return (format!("unknown key `{key}`"), Some(remedy));
    }
    if let Some(rest) = first.strip_prefix("unknown variant ") {
        let word = ticked.next().unwrap_or(rest);
        let known: Vec<&str> = ticked.collect();
        let remedy = match nearest(word, known.iter().copied()) {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("known here: {}", known.join(", ")),
        };
        return (format!("unknown word `{word}`"), Some(remedy));
    }
    if first.starts_with("missing field ") {
        let key = ticked.next().unwrap_or_default();
        return (format!("the key `{key}` is missing"), Some(format!("add `{key} = ...`")));
    }
    (first.replace("f64", "a number").replace("u16", "a whole number").replace("u32", "a whole number"), None)
}

/// Bytes of the value at a dotted path, or of the last table on the way there.
fn span_of(table: &Spanned<DeTable<'_>>, path: &str) -> Option<Range<usize>> {
    let mut names = path.split('.');
    let first = names.next()?;
    let mut value = table.get_ref().iter().find(|(k, _)| k.get_ref() == first).map(|(_, v)| v)?;
    for name in names {
        let next = match value.get_ref() {
            DeValue::Table(table) => table.iter().find(|(k, _)| k.get_ref() == name).map(|(_, v)| v),
            DeValue::Array(items) => name.parse::<usize>().ok().and_then(|i| items.get(i)),
            _ => None,
        };
        match next {
            Some(next) => value = next,
            None => break,
        }
    }
    Some(value.span())
}
