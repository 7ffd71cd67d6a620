#![allow(clippy::all, missing_docs, clippy::print_stdout, clippy::unwrap_used, dead_code)]
use beadwise::deposit::*;
use beadwise::geom::*;
use beadwise::profile::Role;
use beadwise::shape::*;
use std::fmt::Write as _;

fn parse(path: &str, dia: f64) -> Vec<Layer> {
    let mut machine = beadwise::profile::Machine::load("open-small").unwrap();
    machine.filament_mm = dia;
    let bytes = std::fs::read(path).unwrap();
    let (layers, _) = beadwise::deposit::layers(&bytes, &machine, &beadwise::profile::Annotations::none());
    let n = layers.len();
    let layers: Vec<Layer> = layers.into_iter().filter(|l| l.index.is_some()).collect();
    if n != layers.len() {
        println!("{} layers without index", n - layers.len());
    }
    layers
}

fn svg(layer: &Layer, s: &LayerShape, path: &str) {
    let mut o = String::new();
    writeln!(o, "WIDTHS").ok();
    for (i, st) in layer.strands.iter().enumerate() {
        for b in layer.strand_beads(st) {
            writeln!(o, "B {} {} {} {} {} {} {}", b.from.x, b.from.y, b.to.x, b.to.y, b.width_mm, s.roles[i].word(), i)
                .ok();
        }
    }
    for p in &s.outline {
        for r in p.rings() {
            write!(o, "O").ok();
            for q in r {
                write!(o, " {} {}", q.x, q.y).ok();
            }
            writeln!(o).ok();
        }
    }
    if let Some(c) = &s.core {
        for p in &c.polygons {
            for r in p.rings() {
                write!(o, "C").ok();
                for q in r {
                    write!(o, " {} {}", q.x, q.y).ok();
                }
                writeln!(o).ok();
            }
        }
    }
    for w in &s.walls.samples {
        writeln!(o, "S {} {} {} {} {} {}", w.at.x, w.at.y, w.count, w.thickness_mm, w.through as u8, w.corner as u8)
            .ok();
    }
    std::fs::write(path, o).unwrap();
}

fn main() {
    let args: Vec<String> = std::env::args().collect();
    let mode = args[1].as_str();
    if mode == "case" {
        for dir in &args[2..] {
            let layers = parse(&format!("{dir}/part.gcode"), 1.75);
            let t: serde_json::Value =
                serde_json::from_str(&std::fs::read_to_string(format!("{dir}/truth.json")).unwrap()).unwrap();
            println!("== {dir} layers {} / {}", layers.len(), t["layers"].as_array().unwrap().len());
            let t0 = std::time::Instant::now();
            let shapes: Vec<LayerShape> = (0..layers.len()).map(|i| measure_layer(&layers[i])).collect();
            let el = t0.elapsed();
            let mut bad = 0;
            let mut worst: f64 = 0.0;
            let mut cbad = 0;
            let mut n = 0;
            let mut cn = 0;
            for (s, w) in shapes.iter().zip(t["layers"].as_array().unwrap()) {
                let want = w["outline_area_mm2"].as_f64().unwrap();
                let got: f64 = s.outline.iter().map(Polygon::area_mm2).sum();
                n += 1;
                let err = (got / want - 1.0).abs();
                worst = worst.max(err);
                if err > 0.005 {
                    bad += 1;
                    if bad <= 3 {
                        println!("  outline layer {} got {got:.3} want {want:.3}", s.index);
                    }
                }
                if let Some(d) = w["core_density_measured"].as_f64() {
                    if w["core_area_mm2"].as_f64().unwrap() > 25.0 {
                        cn += 1;
                        let g = s.core.as_ref().and_then(|c| c.density);
                        if g.is_none_or(|g| (g - d).abs() > 0.02) {
                            cbad += 1;
                            if cbad <= 4 {
                                println!(
                                    "  core layer {} got {g:?} area {:?} want {d} {}",
                                    s.index,
                                    s.core.as_ref().map(|c| c.area_mm2),
                                    w["core_area_mm2"]
                                );
                            }
                        }
                    }
                }
            }
            println!("  outline bad {bad}/{n} worst {worst:.5}; core bad {cbad}/{cn}");
            let mut pb = 0;
            let mut pn = 0;
            for p in t["wall_probes"].as_array().unwrap() {
                let l = p["layer"].as_u64().unwrap() as usize;
                if l >= shapes.len() {
                    continue;
                }
                let at = Point::new(p["x_mm"].as_f64().unwrap(), p["y_mm"].as_f64().unwrap());
                let near =
                    shapes[l].walls.samples.iter().min_by(|a, b| a.at.distance(at).total_cmp(&b.at.distance(at)));
                pn += 1;
                let ok = near.is_some_and(|s| {
                    s.at.distance(at) < 1.0
                        && s.count as u64 == p["walls"].as_u64().unwrap()
                        && (s.thickness_mm - p["thickness_mm"].as_f64().unwrap()).abs() < 0.05
                });
                if !ok {
                    pb += 1;
                    if pb <= 6 {
                        println!("  probe {l} {at:?} got {near:?} want {} {}", p["walls"], p["thickness_mm"]);
                    }
                }
            }
            println!("  probes bad {pb}/{pn}");
            let mut v = std::collections::BTreeMap::new();
            for (l, s) in layers.iter().zip(&shapes) {
                for (st, r) in l.strands.iter().zip(&s.roles) {
                    *v.entry(r.word()).or_insert(0.0) += l.strand_beads(st).iter().map(Bead::volume_mm3).sum::<f64>();
                }
            }
            println!("  roles {v:.1?}\n  truth {}", t["totals"]["volume_by_feature_mm3"]);
            let meds: std::collections::BTreeMap<_, usize> = shapes.iter().fold(Default::default(), |mut m, s| {
                *m.entry((s.walls.min.map(|m| m.0), s.walls.p05, s.walls.median)).or_insert(0) += 1;
                m
            });
            println!("  (min,p05,median): {meds:?}");
            let gaps: Vec<_> = shapes.iter().flat_map(|s| s.gaps.iter().map(move |g| (s.index, *g))).collect();
            println!("  gaps {} {:?}", gaps.len(), gaps.first());
            let ribs: Vec<_> = shapes.iter().flat_map(|s| s.ribs.iter().map(move |g| (s.index, *g))).collect();
            println!("  ribs {} {:?}", ribs.len(), &ribs[..ribs.len().min(5)]);
            let fr: Vec<_> = shapes.iter().map(|s| s.flow_ratio.map(|f| (f * 100.0).round() / 100.0)).collect();
            println!(
                "  flow {:?}",
                fr.iter().fold(std::collections::BTreeMap::new(), |mut m, f| {
                    *m.entry(format!("{f:?}")).or_insert(0) += 1;
                    m
                })
            );
            println!("  time {:?} for {} beads", el, layers.iter().map(|l| l.beads.len()).sum::<usize>());
        }
    } else if mode == "plot" {
        let dia: f64 = args[5].parse().unwrap_or(1.75);
        let layers = parse(&args[2], dia);
        let i: usize = args[3].parse().unwrap();
        let s = measure_layer(&layers[i]);
        println!(
            "{} layers; z {} h {} outline {:.2} core {:?} walls min {:?} p05 {:?} med {:?} thick {:?}",
            layers.len(),
            s.z_mm,
            s.height_mm,
            s.outline.iter().map(Polygon::area_mm2).sum::<f64>(),
            s.core.as_ref().map(|c| (c.area_mm2, c.density, c.solid, c.directions.clone())),
            s.walls.min,
            s.walls.p05,
            s.walls.median,
            s.walls.thickness_median_mm
        );
        svg(&layers[i], &s, &args[4]);
    } else {
        let dia: f64 = args[3].parse().unwrap();
        let layers = parse(&args[2], dia);
        let t0 = std::time::Instant::now();
        let mut hist: std::collections::BTreeMap<u32, usize> = Default::default();
        let mut pts: std::collections::BTreeMap<u32, usize> = Default::default();
        let (mut ng, mut nr) = (0, 0);
        for i in 0..layers.len() {
            let s = measure_layer(&layers[i]);
            ng += s.gaps.len();
            nr += s.ribs.len();
            *hist.entry(s.walls.median.unwrap_or(99)).or_default() += 1;
            for w in s.walls.samples.iter().filter(|w| !w.through && !w.corner) {
                *pts.entry(w.count).or_default() += 1;
            }
            if i % (layers.len() / 12).max(1) == 0 {
                let mut v = std::collections::BTreeMap::new();
                let l = &layers[i];
                for (st, r) in l.strands.iter().zip(&s.roles) {
                    *v.entry(r.word()).or_insert(0.0) += l.strand_beads(st).iter().map(Bead::volume_mm3).sum::<f64>();
                }
                println!(
                    "{i} z {:.3} h {:.3} n {} outl {:.1} bodies {} holes {} core {:?} walls {:?}/{:?}/{:?} th {:.2?} {v:.0?}",
                    s.z_mm,
                    s.height_mm,
                    l.beads.len(),
                    s.outline.iter().map(Polygon::area_mm2).sum::<f64>(),
                    s.outline.len(),
                    s.outline.iter().map(|p| p.holes.len()).sum::<usize>(),
                    s.core.as_ref().map(|c| (
                        (c.area_mm2 * 10.0).round() / 10.0,
                        c.density.map(|d| (d * 1000.0).round() / 1000.0),
                        c.solid
                    )),
                    s.walls.min.map(|m| m.0),
                    s.walls.p05,
                    s.walls.median,
                    s.walls.thickness_median_mm
                );
            }
        }
        println!(
            "layer medians {hist:?}\nstraight, not through {pts:?}\n{:?} for {} beads {} layers",
            t0.elapsed(),
            layers.iter().map(|l| l.beads.len()).sum::<usize>(),
            layers.len()
        );
    }
}
