//! One type for each quantity, all made by one macro.

use super::number::read_number;
use super::suggest::nearest;
use serde::de::{self, Deserialize, Deserializer, Visitor};
use std::fmt;

/// A unit of a quantity: `value_in_base = value * scale + offset`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// How it is written, without spaces, points or stars, in lower case.
    pub name: &'static str,
    /// Base units in one of it.
    pub scale: f64,
    /// Base units at its zero (temperatures only).
    pub offset: f64,
}

/// Why a text is no quantity.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// No number where one should be.
    #[error("`{text}` does not begin with a number; write a {quantity} such as `{example}`")]
    Number {
        /// What was written.
        text: String,
        /// What was expected.
        quantity: &'static str,
        /// How one is written.
        example: &'static str,
    },
    /// A unit of something else, or none at all.
    #[error("`{unit}` is no unit of {quantity}{meant}; known are {known}")]
    Unit {
        /// The unit that was written.
        unit: String,
        /// What was expected.
        quantity: &'static str,
        /// What was probably meant, as a half-sentence, or empty.
        meant: String,
        /// The units that would do.
        known: String,
    },
    /// Not finite once it is in the base unit.
    #[error("`{text}` is too large for a {quantity}")]
    TooLarge {
        /// What was written.
        text: String,
        /// What was expected.
        quantity: &'static str,
    },
}

/// A unit as it is compared: `N·m`, `N*m`, `N-m` and `N m` are one.
fn plain_unit(unit: &str) -> String {
    let kept = unit.chars().filter(|c| !c.is_whitespace() && !matches!(c, '·' | '*' | '-' | '.' | '_' | '°' | '^'));
    kept.flat_map(char::to_lowercase)
        .map(|c| match c {
            '²' => '2',
            '³' => '3',
            'µ' | 'μ' => 'u',
            other => other,
        })
        .collect()
}

fn read(text: &str, quantity: &'static str, example: &'static str, units: &[Unit]) -> Result<f64, UnitError> {
    let number = || UnitError::Number { text: text.trim().to_owned(), quantity, example };
    let (value, unit) = read_number(text).ok_or_else(number)?;
    let wanted = plain_unit(unit);
    let found =
        if wanted.is_empty() && unit.is_empty() { units.first() } else { units.iter().find(|u| u.name == wanted) };
    let Some(unit) = found else { return Err(unknown_unit(unit, &wanted, quantity, units)) };
    let base = value * unit.scale + unit.offset;
    if base.is_finite() { Ok(base) } else { Err(UnitError::TooLarge { text: text.trim().to_owned(), quantity }) }
}

fn unknown_unit(unit: &str, wanted: &str, quantity: &'static str, units: &[Unit]) -> UnitError {
    let known = units.iter().map(|u| u.name).collect::<Vec<_>>().join(", ");
    let other = quantity_of(wanted).filter(|other| *other != quantity);
    let meant = match (other, nearest(wanted, units.iter().map(|u| u.name))) {
        (Some(other), _) => format!(" but of {other}"),
        (None, Some(near)) => format!(" (did you mean `{near}`?)"),
        (None, None) => String::new(),
    };
    UnitError::Unit { unit: unit.to_owned(), quantity, meant, known }
}

const fn unit(name: &'static str, scale: f64) -> Unit {
    Unit { name, scale, offset: 0.0 }
}

/// A quantity that a profile key or an option may hold.
pub trait Field: Sized + Copy {
    /// What it is, for messages.
    const QUANTITY: &'static str;
    /// Its value in the base unit.
    fn base(self) -> f64;
    /// From a value in the base unit.
    fn from_base(value: f64) -> Self;
    /// From text with a unit; a bare number is in the base unit.
    ///
    /// # Errors
    /// Where there is no number, or the unit is not one of this quantity.
    fn read(text: &str) -> Result<Self, UnitError>;
}

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident($word:literal, $example:literal) $base:ident / $make:ident = [$($unit:expr),+ $(,)?];)+) => {
        $(
            $(#[$doc])*
            #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
            pub struct $name(f64);

            impl $name {
                /// Its units; the first is the base unit.
                pub const UNITS: &'static [Unit] = &[$($unit),+];

                #[doc = concat!("From a value in ", stringify!($base), ".")]
                #[must_use]
                pub const fn $make(value: f64) -> Self {
                    Self(value)
                }

                #[doc = concat!("Its value in ", stringify!($base), ".")]
                #[must_use]
                pub const fn $base(self) -> f64 {
                    self.0
                }
            }

            impl Field for $name {
                const QUANTITY: &'static str = $word;
                fn base(self) -> f64 {
                    self.0
                }
                fn from_base(value: f64) -> Self {
                    Self(value)
                }
                fn read(text: &str) -> Result<Self, UnitError> {
                    read(text, $word, $example, Self::UNITS).map(Self)
                }
            }

            impl std::str::FromStr for $name {
                type Err = UnitError;
                fn from_str(text: &str) -> Result<Self, UnitError> {
                    <Self as Field>::read(text)
                }
            }

            impl<'de> Deserialize<'de> for $name {
                fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
                    from.deserialize_any(NumberOrText::<Self>(std::marker::PhantomData))
                }
            }
        )+

        /// The quantity that has a unit of this name, if any has.
        fn quantity_of(unit: &str) -> Option<&'static str> {
            $(if $name::UNITS.iter().any(|u| u.name == unit) { return Some($word); })+
            None
        }
    };
}

pub(super) const LBF_N: f64 = 4.448_221_615_260_5;
pub(super) const PSI_MPA: f64 = 0.006_894_757_293_168;

quantities! {
    /// A length; base unit mm.
    Length("length", "12 mm") mm / from_mm = [
        unit("mm", 1.0), unit("in", 25.4), unit("cm", 10.0), unit("m", 1000.0), unit("ft", 304.8), unit("um", 0.001),
        unit("inch", 25.4), unit("inches", 25.4), unit("\"", 25.4), unit("thou", 0.0254),
    ];
    /// An area; base unit mm².
    Area("area", "40 mm2") mm2 / from_mm2 = [
        unit("mm2", 1.0), unit("in2", 645.16), unit("cm2", 100.0), unit("sqin", 645.16),
    ];
    /// A volume; base unit mm³.
    Volume("volume", "900 mm3") mm3 / from_mm3 = [unit("mm3", 1.0), unit("cm3", 1000.0), unit("in3", 16_387.064), unit("ml", 1000.0)];
    /// A force; base unit N. A bare `lb` or `ton` is a force here, as the shop says it.
    Force("force", "12 kN") newtons / from_newtons = [
        unit("n", 1.0), unit("kn", 1000.0), unit("lbf", LBF_N), unit("tonf", 2000.0 * LBF_N), unit("kgf", 9.806_65),
        unit("tf", 9806.65), unit("mn", 1e6), unit("lb", LBF_N), unit("lbs", LBF_N), unit("ton", 2000.0 * LBF_N),
        unit("tons", 2000.0 * LBF_N), unit("kip", 1000.0 * LBF_N),
    ];
    /// A force for each length of edge; base unit N/mm.
    LineLoad("force along a length", "50 N/mm") n_per_mm / from_n_per_mm = [
        unit("n/mm", 1.0), unit("kn/m", 1.0), unit("lbf/in", LBF_N / 25.4), unit("lb/in", LBF_N / 25.4),
    ];
    /// A stress or a pressure; base unit MPa.
    Stress("stress", "200 MPa") mpa / from_mpa = [
        unit("mpa", 1.0), unit("n/mm2", 1.0), unit("gpa", 1000.0), unit("ksi", 1000.0 * PSI_MPA), unit("psi", PSI_MPA),
        unit("bar", 0.1), unit("kpa", 0.001), unit("pa", 1e-6),
    ];
    /// A torque or a bending moment; base unit N mm.
    Torque("torque", "40 N m") n_mm / from_n_mm = [
        unit("nmm", 1.0), unit("nm", 1000.0), unit("ncm", 10.0), unit("knm", 1e6),
        unit("lbfft", LBF_N * 304.8), unit("lbft", LBF_N * 304.8), unit("ftlbf", LBF_N * 304.8), unit("ftlb", LBF_N * 304.8),
        unit("ftlbs", LBF_N * 304.8), unit("lbfin", LBF_N * 25.4), unit("lbin", LBF_N * 25.4), unit("inlbf", LBF_N * 25.4),
        unit("inlb", LBF_N * 25.4), unit("inlbs", LBF_N * 25.4), unit("kgfm", 9806.65), unit("kgfcm", 98.0665),
    ];
    /// A mass; base unit g.
    Mass("mass", "15 g") grams / from_grams = [
        unit("g", 1.0), unit("kg", 1000.0), unit("oz", 28.349_523_125), unit("lb", 453.592_37), unit("lbs", 453.592_37),
    ];
    /// A density; base unit g/cm³.
    Density("density", "1.27 g/cm3") g_cm3 / from_g_cm3 = [unit("g/cm3", 1.0), unit("kg/m3", 0.001), unit("g/ml", 1.0), unit("lb/in3", 27.679_904_71)];
    /// A time; base unit s.
    Time("time", "30 min") seconds / from_seconds = [
        unit("s", 1.0), unit("min", 60.0), unit("h", 3600.0), unit("ms", 0.001), unit("d", 86_400.0), unit("sec", 1.0),
        unit("hr", 3600.0), unit("hours", 3600.0), unit("days", 86_400.0),
    ];
    /// A temperature; base unit °C.
    Temperature("temperature", "210 C") celsius / from_celsius = [
        unit("c", 1.0), Unit { name: "f", scale: 5.0 / 9.0, offset: -160.0 / 9.0 },
        Unit { name: "k", scale: 1.0, offset: -273.15 },
    ];
    /// An angle; base unit degree.
    Angle("angle", "45 deg") degrees / from_degrees = [
        unit("deg", 1.0), unit("rad", 180.0 / std::f64::consts::PI), unit("degrees", 1.0),
    ];
    /// A speed; base unit mm/s.
    Speed("speed", "60 mm/s") mm_s / from_mm_s = [
        unit("mm/s", 1.0), unit("mm/min", 1.0 / 60.0), unit("in/s", 25.4), unit("in/min", 25.4 / 60.0), unit("m/s", 1000.0),
        unit("ipm", 25.4 / 60.0),
    ];
    /// An acceleration; base unit mm/s².
    Acceleration("acceleration", "3000 mm/s2") mm_s2 / from_mm_s2 = [
        unit("mm/s2", 1.0), unit("m/s2", 1000.0), unit("in/s2", 25.4),
    ];
    /// A volumetric flow; base unit mm³/s.
    Flow("flow", "12 mm3/s") mm3_s / from_mm3_s = [unit("mm3/s", 1.0), unit("cm3/min", 1000.0 / 60.0), unit("in3/h", 16_387.064 / 3600.0)];
}

/// Takes a bare number in the base unit, or text with a unit.
struct NumberOrText<Q>(std::marker::PhantomData<Q>);

impl<Q: Field> Visitor<'_> for NumberOrText<Q> {
    type Value = Q;

    fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, "a {}, as a number or as text with its unit", Q::QUANTITY)
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Q, E> {
        if value.is_finite() {
            Ok(Q::from_base(value))
        } else {
            Err(E::custom(format!("a {} must be finite", Q::QUANTITY)))
        }
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Q, E> {
        Ok(Q::from_base(value as f64))
    }

    fn visit_u64<E: de::Error>(self, value: u64) -> Result<Q, E> {
        Ok(Q::from_base(value as f64))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Q, E> {
        Q::read(text).map_err(E::custom)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn units_are_as_published() {
        // NIST Special Publication 811, appendix B (from memory): in, lbf, psi, lbf ft; short ton-force 8.896 443 kN.
        assert_relative_eq!("1 in".parse::<Length>().unwrap().mm(), 25.4);
        assert_relative_eq!("1 lbf".parse::<Force>().unwrap().newtons(), 4.448_222, max_relative = 1e-6);
        assert_relative_eq!("1 tonf".parse::<Force>().unwrap().newtons(), 8896.443, max_relative = 1e-6);
        assert_relative_eq!("1 ksi".parse::<Stress>().unwrap().mpa(), 6.894_757, max_relative = 1e-6);
        assert_relative_eq!("1 lbf ft".parse::<Torque>().unwrap().n_mm(), 1355.818, max_relative = 1e-6);
        assert_relative_eq!("1 in-lb".parse::<Torque>().unwrap().n_mm(), 112.984_8, max_relative = 1e-6);
        assert_relative_eq!("410 F".parse::<Temperature>().unwrap().celsius(), 210.0, max_relative = 1e-12);
        assert_relative_eq!("300 K".parse::<Temperature>().unwrap().celsius(), 26.85, max_relative = 1e-12);
    }

    #[test]
    fn the_ways_a_mechanic_writes() {
        for (text, newtons) in
            [("12 kN", 12_000.0), ("12kN", 12_000.0), ("30 lbf", 133.446_648), ("2.5 tonf", 22_241.108), ("40", 40.0)]
        {
            assert_relative_eq!(text.parse::<Force>().unwrap().newtons(), newtons, max_relative = 1e-7);
        }
        for (text, mm) in [("1/2 in", 12.7), ("0.0478 in", 1.214_12), ("1 1/4\"", 31.75), ("3", 3.0), ("-2 mm", -2.0)] {
            assert_relative_eq!(text.parse::<Length>().unwrap().mm(), mm, max_relative = 1e-12);
        }
        for text in ["40 N m", "40 N·m", "40 N*m", "40N-m", "40 Nm", "40000 N mm"] {
            assert_relative_eq!(text.parse::<Torque>().unwrap().n_mm(), 40_000.0);
        }
        assert_relative_eq!("36 ksi".parse::<Stress>().unwrap().mpa(), 248.211, max_relative = 1e-5);
        assert_relative_eq!("30 min".parse::<Time>().unwrap().seconds(), 1800.0);
        assert_relative_eq!("12 mm³/s".parse::<Flow>().unwrap().mm3_s(), 12.0);
    }

    #[test]
    fn a_wrong_unit_is_explained() {
        let said = |e: UnitError| e.to_string();
        assert!(said("20 kg".parse::<Force>().unwrap_err()).starts_with("`kg` is no unit of force but of mass"));
        assert!(said("20 mpaa".parse::<Stress>().unwrap_err()).contains("did you mean `mpa`?"));
        assert!(said("thick".parse::<Length>().unwrap_err()).contains("such as `12 mm`"));
        assert!("1e308 km".parse::<Length>().is_err());
        assert!("1e308 m".parse::<Length>().is_err(), "not finite");
        assert!("18 ga".parse::<Length>().is_err(), "a gauge is no length");
    }

    #[test]
    fn a_profile_key_takes_numbers_and_text() {
        #[derive(serde::Deserialize)]
        struct Keys {
            hole: Length,
            span: Length,
            press: Force,
        }
        let keys: Keys = toml::from_str("hole = 5\nspan = \"1/2 in\"\npress = 12.5").unwrap();
        assert_relative_eq!(keys.hole.mm(), 5.0);
        assert_relative_eq!(keys.span.mm(), 12.7);
        assert_relative_eq!(keys.press.newtons(), 12.5);
        assert!(toml::from_str::<Keys>("hole = nan\nspan = 1\npress = 1").is_err());
    }

    proptest::proptest! {
        #[test]
        fn every_unit_reads_back(value in -1e6f64..1e6, pick in 0usize..64) {
            let unit = Force::UNITS[pick % Force::UNITS.len()];
            let read: Force = format!("{value} {}", unit.name).parse().unwrap();
            approx::assert_relative_eq!(read.newtons(), value * unit.scale, max_relative = 1e-12, epsilon = 1e-12);
        }
    }
}
