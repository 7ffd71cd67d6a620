//! Whatever the machine does, nothing laid is lost, counted twice or out of order.

use super::super::pen::Pen;
use super::check;
use crate::motion::{EventKind, MoveKind};
use proptest::prelude::*;

/// One thing the machine may do, by numbers.
fn act(pen: &mut Pen, (kind, x, y, z, section): (u8, f64, f64, f64, f64)) {
    let [ax, ay, az] = pen.at();
    let volume = section * (x * x + y * y).sqrt();
    match kind {
        0..=9 => pen.step(MoveKind::Deposit, [ax + x, ay + y, az], volume, volume / 2.405, 40.0),
        10 => pen.step(MoveKind::Deposit, [ax + x, ay + y, az + 0.05 * z], volume, volume / 2.405, 40.0),
        11 => pen.step(MoveKind::Deposit, [ax + 1e-7 * x, ay, az], 0.01, 0.004, 40.0),
        12 => pen.step(MoveKind::Travel, [ax + x, ay + y, az], 0.0, 0.0, 120.0),
        13 => pen.step(MoveKind::Travel, [ax, ay, az + 0.2], 0.0, 0.0, 10.0),
        14 => pen.step(MoveKind::Travel, [ax, ay, 0.3 * z.abs()], 0.0, 0.0, 10.0),
        15 => pen.step(MoveKind::Travel, [ax, ay, az], 0.0, 0.0, 120.0),
        16 => pen.wipe(ax - x, ay - y),
        17 => pen.event(EventKind::Dwell, 0.5),
        18 => {
            pen.tool = u16::from(z > 0.0);
            pen.event(EventKind::Tool { to: pen.tool }, 1.0);
        }
        _ => pen.event(EventKind::Stop, 2.0),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn nothing_is_lost(acts in prop::collection::vec((0_u8..20, -9.0_f64..9.0, -9.0_f64..9.0, -3.0_f64..3.0, 1e-4_f64..0.3), 0..400)) {
        let mut pen = Pen::new();
        for a in acts {
            act(&mut pen, a);
        }
        let (layers, totals) = check(&pen);
        let stops = pen.steps.iter().filter(|s| matches!(s, crate::motion::Step::Event(e) if e.kind == EventKind::Stop)).count();
        prop_assert_eq!(totals.stops.len(), stops);
        for layer in &layers {
            prop_assert!(layer.height_mm > 0.0 && layer.height_mm.is_finite());
            prop_assert!(layer.beads.iter().all(|b| b.width_mm.is_finite() && b.area_mm2 >= 0.0));
        }
        let indexes: Vec<usize> = layers.iter().filter_map(|l| l.index).collect();
        prop_assert_eq!(indexes.clone(), (0..indexes.len()).collect::<Vec<_>>());
    }
}
