//! Skins: too few solid layers below a roof or above a floor.

use super::Rule;
use crate::audit::{AuditContext, Finding, Weight};
use crate::shape::{SkinMap, SkinPatch, SkinSide};

/// One solid layer over a core is full of holes (common practice, no source).
const LEAST_LAYERS: u32 = 2;

/// Skins thinner than the profile asks, or than most of the part has.
pub(super) struct ThinSkin;

/// One way a surface may look.
struct Face<'a> {
    name: &'static str,
    /// Where its skin lies.
    side: &'static str,
    skin: &'a SkinSide,
    wanted: Option<u32>,
}

impl Rule for ThinSkin {
    fn about(&self) -> &'static str {
        "roofs and floors are closed by as many solid layers as the strength profile asks and as the rest has"
    }

    fn codes(&self) -> &'static [&'static str] {
        &["thin-skin"]
    }

    fn check(&self, context: &AuditContext<'_>) -> Vec<Finding> {
        let skins = &context.measures.part.skins;
        let faces = [
            Face {
                name: "roof",
                side: "below",
                skin: &skins.top,
                wanted: context.strength.and_then(|s| s.min_top_skin_layers),
            },
            Face {
                name: "floor",
                side: "above",
                skin: &skins.bottom,
                wanted: context.strength.and_then(|s| s.min_bottom_skin_layers),
            },
        ];
        let mut found: Vec<Finding> =
            faces.iter().flat_map(|face| [fails(face, context), thinner_than_elsewhere(face)]).flatten().collect();
        if found.is_empty() {
            found.extend(thinner_than_floors(skins));
        }
        // A part may be thinner than the skin it ought to have.
        let last = context.layers().last().map_or(0, |l| l.index);
        for (_, high) in found.iter_mut().filter_map(|finding| finding.layers.as_mut()) {
            *high = last.min(*high);
        }
        found
    }
}

/// The thinnest patch against the profile. A part with no core behind any face has no skin that could be too thin.
fn fails(face: &Face<'_>, context: &AuditContext<'_>) -> Option<Finding> {
    let profile = context.strength?;
    let wanted = face.wanted?;
    let patch = face.skin.thinnest.filter(|p| p.layers < wanted)?;
    let message = format!(
        "{} ({:.2} mm) {} the thinnest {}; {} wants at least {wanted}",
        solid_layers(patch.layers),
        patch.thickness_mm,
        face.side,
        face.name,
        profile.name
    );
    let remedy = format!("slice with {wanted} solid {} layers", face.name);
    Some(placed(Finding::new("thin-skin", Weight::Fail, message, remedy), &patch, face.name, wanted))
}

/// A patch with a thinner skin than most of the part's surface, or with none to speak of: layers are missing.
fn thinner_than_elsewhere(face: &Face<'_>) -> Option<Finding> {
    let usual = face.skin.layers?;
    let patch = face.skin.thinnest.filter(|p| p.layers < usual.max(LEAST_LAYERS))?;
    if face.wanted.is_some_and(|wanted| patch.layers < wanted) {
        return None;
    }
    let rest = if patch.layers < usual {
        format!(" where most of the part has {usual}")
    } else {
        "; fewer than two seldom close".to_owned()
    };
    let message = format!("{} {} a {}{rest}", solid_layers(patch.layers), face.side, face.name);
    let remedy = "look for a setting or a range of heights that changes the skin there";
    Some(placed(
        Finding::new("thin-skin", Weight::Warning, message, remedy),
        &patch,
        face.name,
        usual.max(LEAST_LAYERS),
    ))
}

/// Roofs hang over a core and want at least as many solid layers as floors, which rest on the bed (common
/// practice, no source): fewer are a sign of layers that went missing.
fn thinner_than_floors(skins: &SkinMap) -> Option<Finding> {
    let (roof, floor) = (skins.top.layers?, skins.bottom.layers?);
    let patch = skins.top.thinnest.filter(|_| roof < floor)?;
    let message = format!("{} below the roofs, {floor} above the floors; roofs want as many", solid_layers(roof));
    let remedy = "look whether roof layers are missing, or slice with as many as the floors have";
    Some(placed(Finding::new("thin-skin", Weight::Warning, message, remedy), &patch, "roof", floor))
}

/// `1 solid layer`, `no solid layer`, `4 solid layers`.
fn solid_layers(count: u32) -> String {
    match count {
        0 => "no solid layer".to_owned(),
        1 => "1 solid layer".to_owned(),
        _ => format!("{count} solid layers"),
    }
}

/// The finding at a patch, over the layers its skin should take up.
fn placed(finding: Finding, patch: &SkinPatch, face: &str, wanted: u32) -> Finding {
    let depth = wanted.saturating_sub(1) as usize;
    let surface = patch.surface_layer;
    let layers = if face == "roof" { (surface.saturating_sub(depth), surface) } else { (surface, surface + depth) };
    Finding { layers: Some(layers), z_mm: Some((patch.z_mm, patch.z_mm)), at: Some(patch.at), ..finding }
}
