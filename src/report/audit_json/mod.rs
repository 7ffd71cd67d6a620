//! The audit as JSON: a contract apart from the inner types, which may change.
//!
//! Numbers keep full precision and carry their unit in the key; what is not known is `null`.

mod wire;

use super::AuditedFile;
use crate::audit::Finding;
use crate::embed::{Asked, suited};
use crate::geom::Moments;
use crate::geom::Point;
use crate::measure::{LayerMeasure, PartMeasures, PrintMeasures, Spread};
use crate::profile::Insert;
use crate::shape::{Cut, Cuts, Pocket, Round, SLAB_MM, SkinPatch, pocket_id};
use crate::strength::{Capacity, CaseResult};
use wire::{
    AcrossXReport, AcrossYReport, CasePlaceReport, CaseReport, CutsReport, FileReport, FindingReport, LayerReport,
    ModeReport, PartReport, RoleReport, RoundReport, SectionReport, SkinReport, SpreadReport, StopReport,
    StrengthReport, ToolReport, TotalsReport,
};
pub(super) use wire::{AuditReport, PocketReport};

/// The audit of one file as JSON text, with a newline at its end.
///
/// `detail` adds every wall sample and the cuts along x and y.
#[must_use]
pub fn audit_json(file: &AuditedFile, detail: bool) -> String {
    // Every value is a number, text, list or map with text keys: nothing that JSON cannot hold.
    let mut text = serde_json::to_string_pretty(&audit_report(file, detail)).unwrap_or_default();
    text.push('\n');
    text
}

fn audit_report(file: &AuditedFile, detail: bool) -> AuditReport<'_> {
    let measures = &file.measures;
    AuditReport {
        schema: "beadwise/audit/1",
        file: FileReport {
            name: &file.name,
            bytes: measures.file.bytes,
            lines: measures.file.lines,
            bad_lines: measures.file.bad_lines,
            unknown_commands: measures.file.unknown_commands,
        },
        machine: &file.machine,
        totals: totals(measures),
        tools: tools(measures),
        roles: roles(measures),
        words_agree: measures.agreement.share(),
        layers: measures.layers.iter().map(|l| layer(l, detail)).collect(),
        part: part(&measures.part),
        pockets: pockets(&measures.pockets),
        stops: measures
            .stops
            .iter()
            .map(|s| StopReport { after_layer: s.after_layer, line: s.line, found: true })
            .collect(),
        strength: StrengthReport {
            profile: file.strength_profile.as_deref(),
            cases: file.cases.iter().map(case).collect(),
        },
        findings: file.audit.findings.iter().map(finding).collect(),
        verdict: file.audit.verdict,
        assumptions: &measures.assumptions,
        cuts: detail.then(|| cuts(&measures.cuts)),
    }
}

fn case(case: &CaseResult) -> CaseReport<'_> {
    let governing = case.governing();
    CaseReport {
        name: &case.name,
        mode: governing.map(|c| c.mode.word()),
        capacity: governing.map(|c| c.bears.low),
        capacity_range: governing.map(|c| c.bears),
        load: case.load,
        unit: if case.is_torque { "N mm" } else { "N" },
        reserve: case.reserve(),
        reserve_typical: case.reserve_typical(),
        wanted: case.wanted,
        holds: case.holds(),
        place: governing.map(|c| CasePlaceReport {
            words: &c.place.words,
            layer: c.place.layer,
            z_mm: c.place.z_mm,
            at_mm: c.place.at.map(|p| [p.x, p.y]),
        }),
        material: &case.material,
        modes: case.capacities.iter().map(mode).collect(),
        remarks: &case.remarks,
        undetermined: case.undetermined.as_deref(),
    }
}

fn mode(capacity: &Capacity) -> ModeReport<'_> {
    ModeReport {
        mode: capacity.mode.word(),
        capacity: capacity.bears,
        place: &capacity.place.words,
        working: &capacity.working,
    }
}

fn totals(measures: &PrintMeasures) -> TotalsReport {
    let (totals, time) = (&measures.totals, &measures.totals.time);
    TotalsReport {
        filament_mm: totals.filament_mm,
        volume_mm3: totals.volume_mm3,
        mass_g: totals.mass_g,
        cost: totals.cost,
        time_s: time.total_s(),
        layers: measures.layers.len(),
        depositing_s: time.depositing_s,
        travel_s: time.travel_s,
        retraction_s: time.retraction_s,
        dwell_s: time.dwell_s,
        waiting_s: time.waiting_s,
        travel_mm: totals.travel_mm,
        retractions: totals.retractions,
        peak_flow_mm3_s: measures.flow.peak.map(|(flow, _)| flow),
        typical_flow_mm3_s: measures.flow.typical_mm3_s,
    }
}

fn tools(measures: &PrintMeasures) -> Vec<ToolReport<'_>> {
    measures
        .tools
        .iter()
        .map(|t| ToolReport {
            tool: t.tool,
            material: t.material.as_deref(),
            filament_mm: t.filament_mm,
            volume_mm3: t.volume_mm3,
            mass_g: t.mass_g,
            cost: t.cost,
            time_s: t.time_s,
        })
        .collect()
}

fn roles(measures: &PrintMeasures) -> Vec<RoleReport> {
    let whole: f64 = measures.roles.iter().map(|r| r.volume_mm3).sum();
    measures
        .roles
        .iter()
        .map(|r| RoleReport {
            role: r.role,
            source: r.source,
            volume_mm3: r.volume_mm3,
            share: if whole > 0.0 { r.volume_mm3 / whole } else { 0.0 },
            length_mm: r.length_mm,
            time_s: r.time_s,
        })
        .collect()
}

fn layer(layer: &LayerMeasure, detail: bool) -> LayerReport {
    LayerReport {
        index: layer.index,
        z_mm: layer.z_mm,
        height_mm: layer.height_mm,
        time_s: layer.time_s,
        volume_mm3: layer.volume_mm3,
        outline_area_mm2: layer.outline_area_mm2,
        walls: SpreadReport {
            min: layer.walls_min.map(|(count, _)| f64::from(count)),
            p05: layer.walls_p05.map(f64::from),
            median: layer.walls_median.map(f64::from),
        },
        wall_thickness_mm: SpreadReport {
            min: layer.wall_thickness_min.map(|(mm, _)| mm),
            p05: layer.wall_thickness_p05_mm,
            median: layer.wall_thickness_median_mm,
        },
        core_density: layer.core_density,
        solid: layer.solid,
        bond_area_mm2: layer.bond_area_mm2,
        section: layer.section.as_ref().map(section),
        lines: [layer.lines.0, layer.lines.1],
        wall_samples: detail
            .then(|| layer.wall_samples.iter().map(|s| (s.at.x, s.at.y, s.count, s.thickness_mm)).collect()),
    }
}

fn section(section: &Moments) -> SectionReport {
    SectionReport {
        area_mm2: section.area_mm2,
        cx_mm: section.centroid.x,
        cy_mm: section.centroid.y,
        ixx_mm4: section.ixx_mm4,
        iyy_mm4: section.iyy_mm4,
        ixy_mm4: section.ixy_mm4,
    }
}

fn part(part: &PartMeasures) -> PartReport {
    PartReport {
        bbox_mm: part.bbox_mm,
        walls: spread(part.walls),
        wall_thickness_mm: spread(part.wall_thickness_mm),
        core_density: part.core_density,
        top_skin_layers: part.skins.top.layers,
        bottom_skin_layers: part.skins.bottom.layers,
        thinnest_top_skin: part.skins.top.thinnest.as_ref().map(skin),
        thinnest_bottom_skin: part.skins.bottom.thinnest.as_ref().map(skin),
        layer_height_mm: part.layer_height_mm,
        bead_width_mm: part.bead_width_mm,
        rounds: part.rounds.iter().map(round).collect(),
    }
}

fn skin(patch: &SkinPatch) -> SkinReport {
    SkinReport {
        layers: patch.layers,
        thickness_mm: patch.thickness_mm,
        layer: patch.surface_layer,
        z_mm: patch.z_mm,
        area_mm2: patch.area_mm2,
        at_mm: [patch.at.x, patch.at.y],
    }
}

fn spread(spread: Option<Spread>) -> SpreadReport {
    SpreadReport { min: spread.map(|s| s.min), p05: spread.map(|s| s.p05), median: spread.map(|s| s.median) }
}

fn round(round: &Round) -> RoundReport {
    RoundReport {
        kind: round.kind.word(),
        cx_mm: round.centre.x,
        cy_mm: round.centre.y,
        d_mm: round.diameter_mm,
        z0_mm: round.z0_mm,
        z1_mm: round.z1_mm,
    }
}

fn pockets(pockets: &[Pocket]) -> Vec<PocketReport> {
    // A wrong built-in file, which a test excludes, costs the list of what fits and nothing else.
    let inserts = if pockets.is_empty() { Vec::new() } else { Insert::built_in().unwrap_or_default() };
    pockets.iter().enumerate().map(|(index, one)| pocket(index, one, &inserts)).collect()
}

pub(super) fn pocket(index: usize, pocket: &Pocket, inserts: &[Insert]) -> PocketReport {
    PocketReport {
        id: pocket_id(index),
        shape: pocket.shape.word(),
        cx_mm: pocket.centre.x,
        cy_mm: pocket.centre.y,
        size_mm: pocket.size_mm,
        length_mm: pocket.length_mm,
        floor_z_mm: pocket.floor_z_mm,
        roof_z_mm: pocket.roof_z_mm,
        depth_mm: pocket.depth_mm,
        access: pocket.access.word(),
        stop_after_layer: pocket.stop_after_layer,
        fits: suited(pocket, inserts, Asked::default()).into_iter().map(|(insert, _)| insert.name.clone()).collect(),
    }
}

fn cuts(cuts: &[Cuts; 2]) -> CutsReport {
    let [along_x, along_y] = cuts;
    let sums = |cuts: &Cuts| cuts.slabs(SLAB_MM).iter().map(|cut| (cut.at_mm, Cut::total(cut))).collect::<Vec<_>>();
    CutsReport {
        x: sums(along_x)
            .into_iter()
            .map(|(at_mm, Moments { area_mm2, centroid, ixx_mm4, iyy_mm4, .. })| AcrossXReport {
                at_mm,
                area_mm2,
                cy_mm: centroid.x,
                cz_mm: centroid.y,
                // In the plane of the cut y lies along the first axis and z along the second.
                iyy_mm4: ixx_mm4,
                izz_mm4: iyy_mm4,
            })
            .collect(),
        y: sums(along_y)
            .into_iter()
            .map(|(at_mm, Moments { area_mm2, centroid, ixx_mm4, iyy_mm4, .. })| AcrossYReport {
                at_mm,
                area_mm2,
                cx_mm: centroid.x,
                cz_mm: centroid.y,
                ixx_mm4,
                izz_mm4: iyy_mm4,
            })
            .collect(),
    }
}

fn finding(finding: &Finding) -> FindingReport<'_> {
    FindingReport {
        code: finding.code,
        severity: finding.weight.severity(),
        fails: finding.weight >= crate::audit::Weight::Undetermined,
        message: &finding.message,
        layers: finding.layers.map(|(first, last)| [first, last]),
        quiet_layers: finding.quiet_layers,
        z_mm: finding.z_mm.map(|(low, high)| [low, high]),
        at_mm: finding.at.map(|Point { x, y }| [x, y]),
        line: finding.line,
        remedy: &finding.remedy,
    }
}
