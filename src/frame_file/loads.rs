//! Load cases: loads along members are shared out among their elements.

use nalgebra::Vector3;

use crate::frame::{
    FREEDOM_NAMES, LoadAxes, LoadCase, MemberAction, MemberLoad, Movement, Tightening,
};
use crate::input::entry_path;

use super::build::Builder;
use super::load_tables::{
    Axes, LineTable, LoadCaseTable, MovementTable, PointTable, StressFreeTable, TighteningTable,
};
use super::member::MemberPath;

impl Builder<'_> {
    pub(super) fn load_cases(&mut self) {
        for (index, table) in self.table.load_case.iter().enumerate() {
            let key = entry_path("load_case", index);
            let is_new = self.load_cases.iter().all(|case| case.name != table.name);
            self.check.require(
                &format!("{key}.name"),
                is_new,
                "is the name of an earlier load case",
            );
            let course = self.course(&key, table);
            let case = self.load_case(&key, table);
            self.load_cases.push(case);
            self.courses.push(course);
        }
    }

    fn load_case(&mut self, key: &str, table: &LoadCaseTable) -> LoadCase {
        let mut case = LoadCase::named(&table.name);
        for (index, load) in table.nodal.iter().enumerate() {
            let key = entry_path(&format!("{key}.nodal"), index);
            if let Some(node) = self.node(&format!("{key}.node"), &load.node) {
                let [force, moment] = [load.force_n, load.moment_nmm].map(Vector3::from);
                case = case.with_load(node, force, moment);
            }
        }
        for (index, load) in table.line.iter().enumerate() {
            let key = entry_path(&format!("{key}.line"), index);
            self.line(&mut case, &key, load);
        }
        for (index, load) in table.point.iter().enumerate() {
            let key = entry_path(&format!("{key}.point"), index);
            self.point(&mut case, &key, load);
        }
        for (index, load) in table.stress_free.iter().enumerate() {
            let key = entry_path(&format!("{key}.stress_free"), index);
            self.stress_free(&mut case, &key, load);
        }
        for (index, movement) in table.movement.iter().enumerate() {
            let key = entry_path(&format!("{key}.movement"), index);
            self.movement(&mut case, &key, movement);
        }
        for (index, tightening) in table.tightening.iter().enumerate() {
            let key = entry_path(&format!("{key}.tightening"), index);
            self.tightening(&mut case, &key, tightening);
        }
        case
    }

    fn line(&mut self, case: &mut LoadCase, key: &str, load: &LineTable) {
        let Some(member) = self.member_index(&format!("{key}.member"), &load.member) else {
            return;
        };
        let length = self.members[member].length();
        let to = load.to_mm.unwrap_or(length);
        self.require_on(&format!("{key}.to_mm"), member, to);
        let is_forward = load.from_mm < to;
        self.check.require(
            &format!("{key}.from_mm"),
            is_forward,
            format!("must be less than {to}, where the load ends"),
        );
        if !is_forward {
            return;
        }
        let path = &self.members[member];
        let to = to.min(length);
        let start = Vector3::from(load.force_n_per_mm);
        let end = load.end_force_n_per_mm.map_or(start, Vector3::from);
        let force_at =
            |at: f64| start + (end - start) * ((at - load.from_mm) / (to - load.from_mm));
        for (element, ends) in path.stations.windows(2).enumerate() {
            let stretch = [load.from_mm.max(ends[0]), to.min(ends[1])];
            if stretch[1] - stretch[0] > 1e-9 * length {
                let action = MemberAction::Line {
                    stretch: stretch.map(|at| at - ends[0]),
                    force: stretch.map(force_at),
                    axes: load.axes.into(),
                };
                case.members.push(MemberLoad {
                    member: path.first_element + element,
                    action,
                });
            }
        }
    }

    fn point(&mut self, case: &mut LoadCase, key: &str, load: &PointTable) {
        let Some(member) = self.member_index(&format!("{key}.member"), &load.member) else {
            return;
        };
        self.require_on(&format!("{key}.at_mm"), member, load.at_mm);
        let path = &self.members[member];
        let (element, at) = path.locate(load.at_mm);
        let action = MemberAction::Point {
            at,
            force: Vector3::from(load.force_n),
            moment: Vector3::from(load.moment_nmm),
            axes: load.axes.into(),
        };
        case.members.push(MemberLoad {
            member: path.first_element + element,
            action,
        });
    }

    fn stress_free(&mut self, case: &mut LoadCase, key: &str, load: &StressFreeTable) {
        let Some(member) = self.member_index(&format!("{key}.member"), &load.member) else {
            return;
        };
        let path: &MemberPath = &self.members[member];
        let heat = [
            ("temperature_k", load.temperature_k),
            ("gradient_y_k_per_mm", load.gradient_y_k_per_mm),
            ("gradient_z_k_per_mm", load.gradient_z_k_per_mm),
        ];
        let expansion = path.elastic.thermal_expansion;
        for (name, change) in heat {
            self.check.require(
                &format!("{key}.{name}"),
                change == 0.0 || expansion.is_some(),
                "needs thermal_expansion_per_k in the member's material",
            );
        }
        let expansion = expansion.unwrap_or(0.0);
        // The axial strain at (y, z) is ε + κy z − κz y.
        let action = MemberAction::StressFree {
            strain: load.strain + expansion * load.temperature_k,
            curvature_y: load.curvature_y_per_mm + expansion * load.gradient_z_k_per_mm,
            curvature_z: load.curvature_z_per_mm - expansion * load.gradient_y_k_per_mm,
        };
        for element in 0..path.element_count() {
            case.members.push(MemberLoad {
                member: path.first_element + element,
                action,
            });
        }
    }

    fn movement(&mut self, case: &mut LoadCase, key: &str, table: &MovementTable) {
        let Some(node) = self.node(&format!("{key}.node"), &table.node) else {
            return;
        };
        let movements = [
            ("ux_mm", table.ux_mm),
            ("uy_mm", table.uy_mm),
            ("uz_mm", table.uz_mm),
            ("rx_rad", table.rx_rad),
            ("ry_rad", table.ry_rad),
            ("rz_rad", table.rz_rad),
        ];
        let held = self.frame.held()[node];
        for (freedom, (name, value)) in movements.into_iter().enumerate() {
            let Some(value) = value else { continue };
            self.check.require(
                &format!("{key}.{name}"),
                held[freedom],
                format!("needs a support that fixes {}", FREEDOM_NAMES[freedom]),
            );
            let same = |earlier: &&Movement| (earlier.node, earlier.freedom) == (node, freedom);
            if let Some(earlier) = case.movements.iter().find(same) {
                self.check.require(
                    &format!("{key}.{name}"),
                    earlier.value == value,
                    format!(
                        "must not differ from an earlier movement of it, {}",
                        earlier.value
                    ),
                );
            }
            case.movements.push(Movement {
                node,
                freedom,
                value,
            });
        }
    }

    fn tightening(&mut self, case: &mut LoadCase, key: &str, table: &TighteningTable) {
        let axes = [
            table.x_mm,
            table.y_mm,
            table.z_mm,
            table.rx_rad,
            table.ry_rad,
            table.rz_rad,
        ];
        self.check.require(
            key,
            axes.iter().any(Option::is_some),
            "must have a travel: x_mm, y_mm, z_mm, rx_rad, ry_rad or rz_rad",
        );
        let Some(coupling) = self.coupling_index(&format!("{key}.coupling"), &table.coupling)
        else {
            return;
        };
        for (axis, travel) in axes.into_iter().enumerate() {
            if let Some(travel) = travel {
                case.tightenings.push(Tightening {
                    coupling,
                    axis,
                    travel,
                });
            }
        }
    }

    /// Requires that a place lies on a member.
    pub(super) fn require_on(&mut self, key: &str, member: usize, at: f64) {
        let length = self.members[member].length();
        self.check.require(
            key,
            at <= length * (1.0 + 1e-9),
            format!(
                "must lie on the member, which is {} mm long",
                (length * 1e6).round() / 1e6
            ),
        );
    }
}

impl From<Axes> for LoadAxes {
    fn from(axes: Axes) -> Self {
        match axes {
            Axes::Global => LoadAxes::Global,
            Axes::Local => LoadAxes::Local,
        }
    }
}
