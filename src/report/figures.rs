//! Numbers as people read them: with units and no more digits than they deserve.

use crate::units::Time;

/// How numbers are written for this reader.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Figures {
    inch: bool,
}

const MM_PER_INCH: f64 = 25.4;
const GRAMS_PER_OUNCE: f64 = 28.349_523_125;

impl Figures {
    /// Millimetres and grams.
    pub const METRIC: Self = Self { inch: false };
    /// Inches and ounces.
    pub const INCH: Self = Self { inch: true };

    /// A length along the print, such as a height or a place.
    #[must_use]
    pub fn length(self, mm: f64) -> String {
        if self.inch { format!("{:.3} in", mm / MM_PER_INCH) } else { format!("{mm:.2} mm") }
    }

    /// A length without its unit, for pairs and columns that name the unit once.
    #[must_use]
    pub fn bare_length(self, mm: f64) -> String {
        if self.inch { format!("{:.3}", mm / MM_PER_INCH) } else { format!("{mm:.2}") }
    }

    /// A place on the bed without its unit, as precise as a finger: a tenth of a millimetre.
    #[must_use]
    pub fn place(self, mm: f64) -> String {
        if self.inch { format!("{:.2}", mm / MM_PER_INCH) } else { format!("{mm:.1}") }
    }

    /// The unit of [`Figures::bare_length`].
    #[must_use]
    pub const fn length_unit(self) -> &'static str {
        if self.inch { "in" } else { "mm" }
    }

    /// A length in the unit of [`Figures::length_unit`].
    #[must_use]
    pub fn lengths_in_unit(self, mm: f64) -> f64 {
        if self.inch { mm / MM_PER_INCH } else { mm }
    }

    /// One [`Figures::length_unit`] in mm.
    #[must_use]
    pub const fn unit_mm(self) -> f64 {
        if self.inch { MM_PER_INCH } else { 1.0 }
    }

    /// Whether lengths are in inches.
    #[must_use]
    pub const fn is_inch(self) -> bool {
        self.inch
    }

    /// A length without its unit and without zeros at its end, for scales and sizes.
    #[must_use]
    pub fn short_length(self, mm: f64) -> String {
        let text = if self.inch { format!("{:.3}", mm / MM_PER_INCH) } else { format!("{mm:.2}") };
        let text = text.trim_end_matches('0').trim_end_matches('.');
        if text == "-0" { "0".to_owned() } else { text.to_owned() }
    }

    /// The greatest round length in this reader's unit up to `most_mm`, mm: for scale bars.
    #[must_use]
    pub fn round_bar_mm(self, most_mm: f64) -> f64 {
        let unit_mm = if self.inch { MM_PER_INCH } else { 1.0 };
        let most = most_mm / unit_mm;
        if !(most > 0.0 && most.is_finite()) {
            return unit_mm;
        }
        let power = 10f64.powf(most.log10().floor());
        let round = [5.0, 2.0, 1.0].into_iter().map(|n| n * power).find(|length| *length <= most);
        round.unwrap_or(power) * unit_mm
    }

    /// The unit of areas.
    #[must_use]
    pub const fn area_unit(self) -> &'static str {
        if self.inch { "in²" } else { "mm²" }
    }

    /// A temperature.
    #[must_use]
    pub fn temperature(self, celsius: f64) -> String {
        if self.inch { format!("{:.0} °F", celsius * 1.8 + 32.0) } else { format!("{celsius:.0} °C") }
    }

    /// A length of filament: metres from one metre up.
    #[must_use]
    pub fn filament(self, mm: f64) -> String {
        match (self.inch, mm) {
            (true, _) => format!("{:.1} ft", mm / MM_PER_INCH / 12.0),
            (false, mm) if mm >= 1000.0 => format!("{:.2} m", mm / 1000.0),
            (false, mm) => format!("{mm:.0} mm"),
        }
    }

    /// A mass.
    #[must_use]
    pub fn mass(self, grams: f64) -> String {
        if self.inch {
            format!("{:.2} oz", grams / GRAMS_PER_OUNCE)
        } else if grams >= 1000.0 {
            format!("{:.2} kg", grams / 1000.0)
        } else {
            format!("{grams:.1} g")
        }
    }

    /// An area.
    #[must_use]
    pub fn area(self, mm2: f64) -> String {
        if self.inch { format!("{:.3} in²", mm2 / MM_PER_INCH.powi(2)) } else { format!("{mm2:.0} mm²") }
    }

    /// An area without its unit.
    #[must_use]
    pub fn bare_area(self, mm2: f64) -> String {
        if self.inch { format!("{:.3}", mm2 / MM_PER_INCH.powi(2)) } else { format!("{mm2:.0}") }
    }

    /// A volume.
    #[must_use]
    pub fn volume(self, mm3: f64) -> String {
        if self.inch { format!("{:.3} in³", mm3 / MM_PER_INCH.powi(3)) } else { format!("{:.2} cm³", mm3 / 1000.0) }
    }

    /// A duration: the two largest units of days, hours, minutes and seconds.
    #[must_use]
    pub fn time(self, seconds: f64) -> String {
        Time::from_seconds(seconds).show()
    }

    /// A share as a percentage.
    #[must_use]
    pub fn percent(self, share: f64) -> String {
        format!("{:.0} %", share * 100.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_keep_their_two_largest_units() {
        let figures = Figures::METRIC;
        assert_eq!(figures.time(3.25), "3.2 s");
        assert_eq!(figures.time(59.6), "1 min 0 s");
        assert_eq!(figures.time(3725.0), "1 h 2 min");
        assert_eq!(figures.time(90_000.0), "1 d 1 h");
    }

    #[test]
    fn scale_bars_are_round() {
        assert!((Figures::METRIC.round_bar_mm(8.9) - 5.0).abs() < 1e-12);
        assert!((Figures::METRIC.round_bar_mm(23.0) - 20.0).abs() < 1e-12);
        assert!((Figures::INCH.round_bar_mm(30.0) - 25.4).abs() < 1e-12);
        assert_eq!(Figures::METRIC.short_length(20.0), "20");
        assert_eq!(Figures::METRIC.short_length(-0.001), "0");
        assert_eq!(Figures::INCH.temperature(100.0), "212 °F");
    }

    #[test]
    fn inches_and_ounces() {
        assert_eq!(Figures::INCH.length(25.4), "1.000 in");
        assert_eq!(Figures::INCH.mass(28.349_523_125), "1.00 oz");
        assert_eq!(Figures::METRIC.filament(1234.0), "1.23 m");
    }
}
