//! What one tool was fed, and what it still owes after a retraction.

/// Feeds smaller than this are rounding of absolute E words, mm.
const ROUNDING_MM: f64 = 1e-9;

/// Filament of one tool: what went in, what was pulled back.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Filament {
    /// Fed less pulled back, mm.
    pub net_mm: f64,
    /// Highest `net_mm` so far: what was fed for good, mm.
    pub peak_mm: f64,
}

impl Filament {
    /// What was pulled back and has not come forward again, mm.
    #[must_use]
    pub fn debt_mm(&self) -> f64 {
        self.peak_mm - self.net_mm
    }

    /// Feeds `fed_mm` (negative pulls back); what of it is new plastic, the debt being paid first, mm.
    pub(super) fn feed(&mut self, fed_mm: f64) -> f64 {
        self.net_mm += fed_mm;
        let new_mm = self.net_mm - self.peak_mm;
        if new_mm > ROUNDING_MM {
            self.peak_mm = self.net_mm;
            // Without debt all of it is new; the difference of two long sums would lose digits.
            if (new_mm - fed_mm).abs() <= ROUNDING_MM { fed_mm } else { new_mm }
        } else {
            0.0
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    #[test]
    fn the_debt_is_paid_first() {
        let mut filament = Filament::default();
        assert_relative_eq!(filament.feed(5.0), 5.0);
        assert_relative_eq!(filament.feed(-0.8), 0.0);
        assert_relative_eq!(filament.debt_mm(), 0.8, epsilon = 1e-12);
        assert_relative_eq!(filament.feed(0.5), 0.0);
        assert_relative_eq!(filament.feed(0.5), 0.2, epsilon = 1e-12);
        assert_relative_eq!(filament.peak_mm, 5.2, epsilon = 1e-12);
    }

    #[test]
    fn without_debt_no_digit_of_a_feed_is_lost() {
        // Eight metres in, 8000.1 - 8000 is 0.1 only to twelve digits; what was asked for is all of 0.1.
        let mut filament = Filament::default();
        filament.feed(8000.0);
        assert_eq!(filament.feed(0.1).to_bits(), 0.1f64.to_bits());
    }

    proptest! {
        #[test]
        fn new_plastic_sums_to_the_highest_net_feed(feeds in prop::collection::vec(-3.0..5.0f64, 0..200)) {
            let mut filament = Filament::default();
            let (mut net, mut peak, mut new) = (0.0, 0.0f64, 0.0);
            for feed in feeds {
                new += filament.feed(feed);
                net += feed;
                peak = peak.max(net);
            }
            prop_assert!((new - peak).abs() < 1e-6);
            prop_assert!((filament.net_mm - net).abs() < 1e-6);
        }
    }
}
