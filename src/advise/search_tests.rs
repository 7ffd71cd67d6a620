//! The search against trying everything.

#![allow(clippy::unwrap_used)]

use super::super::bench::{Asked, Bench, Offer};
use super::super::choice::{Choice, CoreKind};
use super::super::relaid::lay_again;
use super::super::space::Space;
use super::{Goal, Search, strength};
use crate::measure::{Setup, measure_print};
use crate::profile::{Annotations, Limits, LoadCases, Machine, Material};
use crate::rebead::specimens::upright_bar;
use crate::rebead::{CoreFill, Dialect, Settings, lay, write};
use crate::strength::check_cases;

fn setup() -> Setup {
    Setup {
        material: Some(Material::load("petg").unwrap()),
        annotations: Annotations::none(),
        ..Setup::of(Machine::load("open-small").unwrap())
    }
}

/// A grid small enough to try all of it: 4 x 3 x 2 x 2.
fn small() -> Space {
    Space {
        walls: vec![1, 2, 3, 4],
        core_percent: vec![15, 40, 80],
        core: vec![CoreKind::Alternating, CoreKind::Grid],
        skins: vec![(2, 2), (4, 4)],
        bead_width_um: vec![450],
        layer_height_um: vec![0],
    }
}

fn everything(space: &Space) -> Vec<Choice> {
    let mut all = Vec::new();
    for &walls in &space.walls {
        for &core_percent in &space.core_percent {
            for &core in &space.core {
                for &(bottom_skins, top_skins) in &space.skins {
                    all.push(Choice {
                        walls,
                        core_percent,
                        core,
                        bottom_skins,
                        top_skins,
                        bead_width_um: 450,
                        layer_height_um: 0,
                    });
                }
            }
        }
    }
    all
}

/// Whether one offer is at least as good on every count and better on one.
fn beats(a: &Offer, b: &Offer) -> bool {
    let counts = [
        b.time_s - a.time_s,
        b.mass_g.unwrap() - a.mass_g.unwrap(),
        b.cost.unwrap() - a.cost.unwrap(),
        strength(a).unwrap() - strength(b).unwrap(),
    ];
    counts.iter().all(|gain| *gain >= 0.0) && counts.iter().any(|gain| *gain > 0.0)
}

#[test]
fn nothing_that_could_have_been_tried_beats_what_is_found() {
    let settings = Settings {
        walls: 2,
        bottom_skins: 2,
        top_skins: 2,
        core: CoreFill { density: 0.15, ..CoreFill::default() },
        ..Settings::default()
    };
    let text = write(&lay(&upright_bar(19.0, 12.0, 4.0, 0.2), &settings), &Dialect::default(), &Limits::default());
    let (bytes, setup, space) = (text.as_bytes(), setup(), small());
    let measures = measure_print(bytes, &setup, &mut |_| {}).unwrap();
    for load in [
        "pull; force = 420 N; axis = z",
        "bend; force = 110 N; axis = x; direction = z",
        "press; force = 1.2 kN; face = top",
    ] {
        let cases = LoadCases::load(load).unwrap();
        let found = check_cases(bytes, &setup, &measures, &cases, 2.0).unwrap();
        let asked = Asked { strength: None, cases: &cases, reserve: 2.0 };
        let relaid = lay_again(bytes, &setup, asked, &measures, &found).unwrap();
        let bench =
            Bench { density_factor: relaid.density_factor, ..Bench::new(&relaid.survey, asked, &setup, &measures) };
        let all: Vec<Offer> = everything(&space).iter().map(|c| bench.offer(c).unwrap().unwrap()).collect();
        // Half of all are strong enough.
        let mut strengths: Vec<f64> = all.iter().map(|o| strength(o).unwrap()).collect();
        strengths.sort_by(f64::total_cmp);
        let reserve = strengths[all.len() / 2];
        let own = all
            .iter()
            .find(|o| {
                (o.choice.walls, o.choice.core_percent, o.choice.core as u32, o.choice.top_skins) == (2, 15, 0, 2)
            })
            .unwrap();
        for goal in [Goal::Time, Goal::Mass] {
            let mut search = Search::new(&bench, &space, own.clone(), goal, reserve);
            search.run(Vec::new(), 1000, &mut |_, _| {}).unwrap();
            let edge = search.edge();
            assert!(edge.len() > 1, "{load}");
            for offer in &edge {
                let better = all.iter().find(|other| beats(other, offer));
                assert!(
                    better.is_none(),
                    "{load}, {goal:?}: {:?} is beaten by {:?}",
                    offer.choice,
                    better.map(|o| o.choice)
                );
            }
            let cheapest = |offers: &mut dyn Iterator<Item = &Offer>| {
                offers.filter(|o| o.holds(reserve)).map(|o| goal.of(o)).fold(f64::INFINITY, f64::min)
            };
            let (least, got) = (cheapest(&mut all.iter()), cheapest(&mut edge.iter().copied()));
            assert!(got <= least, "{load}, {goal:?}: {got} where {least} was to be had");
            // Else it would be no search.
            assert!(search.offers().count() < all.len(), "{load}, {goal:?}: everything was tried");
        }
    }
}
