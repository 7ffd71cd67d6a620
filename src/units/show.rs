//! Numbers with sane digits, in the shop's choice of units.

use super::quantity::{Area, Force, LBF_N, Length, Mass, PSI_MPA, Stress, Temperature, Time, Torque};

/// The units a report speaks in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum System {
    /// mm, N, MPa, °C.
    #[default]
    Metric,
    /// in, lbf, psi, °F.
    Inch,
}

/// `value` with `digits` significant digits, without trailing zeros and never with an exponent.
#[must_use]
pub fn significant(value: f64, digits: u8) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { value.to_string() };
    }
    let digits = i32::from(digits.max(1));
    let exponent = value.abs().log10().floor() as i32;
    let places = (digits - 1 - exponent).clamp(0, 12);
    let step = 10f64.powi(exponent + 1 - digits).max(1.0);
    let rounded = if places == 0 { (value / step).round() * step } else { value };
    let text = format!("{:.*}", places as usize, rounded);
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl Length {
    /// With sane digits, in the shop's units.
    #[must_use]
    pub fn show(self, system: System) -> String {
        match system {
            System::Metric => format!("{} mm", significant(self.mm(), 4)),
            System::Inch => format!("{} in", significant(self.mm() / 25.4, 4)),
        }
    }
}

impl Area {
    /// With sane digits, in the shop's units.
    #[must_use]
    pub fn show(self, system: System) -> String {
        match system {
            System::Metric => format!("{} mm²", significant(self.mm2(), 4)),
            System::Inch => format!("{} in²", significant(self.mm2() / 645.16, 4)),
        }
    }
}

impl Force {
    /// With sane digits, in the shop's units: N or kN, lbf or (US short) tonf.
    #[must_use]
    pub fn show(self, system: System) -> String {
        let lbf = self.newtons() / LBF_N;
        match system {
            System::Metric if self.newtons().abs() < 999.5 => format!("{} N", significant(self.newtons(), 4)),
            System::Metric => format!("{} kN", significant(self.newtons() / 1000.0, 4)),
            System::Inch if lbf.abs() < 9999.5 => format!("{} lbf", significant(lbf, 4)),
            System::Inch => format!("{} tonf", significant(lbf / 2000.0, 4)),
        }
    }
}

impl Stress {
    /// With sane digits, in the shop's units.
    #[must_use]
    pub fn show(self, system: System) -> String {
        let psi = self.mpa() / PSI_MPA;
        match system {
            System::Metric if self.mpa().abs() >= 9999.5 => format!("{} GPa", significant(self.mpa() / 1000.0, 4)),
            System::Metric => format!("{} MPa", significant(self.mpa(), 4)),
            System::Inch if psi.abs() >= 9999.5 => format!("{} ksi", significant(psi / 1000.0, 4)),
            System::Inch => format!("{} psi", significant(psi, 4)),
        }
    }
}

impl Torque {
    /// With sane digits, in the shop's units.
    #[must_use]
    pub fn show(self, system: System) -> String {
        match system {
            System::Metric => format!("{} N m", significant(self.n_mm() / 1000.0, 4)),
            System::Inch if self.n_mm().abs() < 120.0 * LBF_N * 25.4 => {
                format!("{} lbf in", significant(self.n_mm() / (LBF_N * 25.4), 4))
            }
            System::Inch => format!("{} lbf ft", significant(self.n_mm() / (LBF_N * 304.8), 4)),
        }
    }
}

impl Mass {
    /// With sane digits, in the shop's units.
    #[must_use]
    pub fn show(self, system: System) -> String {
        match system {
            System::Metric => format!("{} g", significant(self.grams(), 4)),
            System::Inch => format!("{} oz", significant(self.grams() / 28.349_523_125, 4)),
        }
    }
}

impl Temperature {
    /// To the whole degree, in the shop's units.
    #[must_use]
    pub fn show(self, system: System) -> String {
        match system {
            System::Metric => format!("{:.0} °C", self.celsius()),
            System::Inch => format!("{:.0} °F", self.celsius() * 1.8 + 32.0),
        }
    }
}

impl Time {
    /// The two largest units of days, hours, minutes and seconds: `1 h 2 min`, `3 min 20 s` or `4.2 s`.
    #[must_use]
    pub fn show(self) -> String {
        let seconds = self.seconds();
        let whole = seconds.max(0.0).round() as u64;
        let (days, hours, minutes) = (whole / 86_400, whole / 3600 % 24, whole / 60 % 60);
        match (days, hours, minutes) {
            (0, 0, 0) if seconds < 10.0 => format!("{seconds:.1} s"),
            (0, 0, 0) => format!("{whole} s"),
            (0, 0, minutes) => format!("{minutes} min {} s", whole % 60),
            (0, hours, minutes) => format!("{hours} h {minutes} min"),
            (days, hours, _) => format!("{days} d {hours} h"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_sane() {
        for (value, digits, text) in [
            (5529.203, 4, "5529"),
            (5.529203, 4, "5.529"),
            (12.0, 4, "12"),
            (0.001234, 3, "0.00123"),
            (123_456.0, 3, "123000"),
            (-0.5, 2, "-0.5"),
            (0.0, 3, "0"),
            (999.96, 4, "1000"),
            (1e-20, 3, "0"),
        ] {
            assert_eq!(significant(value, digits), text);
        }
    }

    #[test]
    fn shown_as_a_shop_reads() {
        assert_eq!(Force::from_newtons(5529.203).show(System::Metric), "5.529 kN");
        assert_eq!(Force::from_newtons(6792.0).show(System::Inch), "1527 lbf");
        assert_eq!(Force::from_newtons(133_446.6).show(System::Inch), "15 tonf");
        assert_eq!(Length::from_mm(12.7).show(System::Inch), "0.5 in");
        assert_eq!(Stress::from_mpa(250.0).show(System::Inch), "36.26 ksi");
        assert_eq!(Temperature::from_celsius(210.0).show(System::Inch), "410 °F");
        assert_eq!(Time::from_seconds(3725.0).show(), "1 h 2 min");
        assert_eq!(Time::from_seconds(65.4).show(), "1 min 5 s");
    }
}
