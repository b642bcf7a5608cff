//! Copper, wires and batteries against standards and worked examples.

use physics::{battery, copper, wire};

const COLD_K: f64 = 293.15;
const HOUR_S: f64 = 3600.0;

#[test]
fn copper_as_the_standards_have_it() {
    // IEC 60028:1925: 1/58 Ω·mm²/m, 0.00393/K at 20 °C.
    assert!((copper::RESISTIVITY_20_OHM_M * 1e6 - 0.01724137931).abs() < 5e-11);
    assert!((copper::ratio(COLD_K, COLD_K + 1.0) - 1.0 - 0.00393).abs() < 5e-6);
    // IEC 60228:2004: annex B, 254.5/(234.5 + t), computed with NumPy; annex A's table is of the rounded coefficient and lies within 0.4 % of it.
    let rows = [
        (5.0, 1.06263048, 1.064),
        (25.0, 0.9807321773, 0.98),
        (50.0, 0.8945518453, 0.893),
        (75.0, 0.8222940226, 0.82),
        (100.0, 0.7608370703, 0.758),
    ];
    for (celsius, exact, printed) in rows {
        let ours = copper::ratio(273.15 + celsius, COLD_K);
        assert!((ours / exact - 1.0).abs() < 1e-8, "{celsius}");
        assert!((ours / printed - 1.0_f64).abs() < 0.004, "{celsius}");
    }
    // There and back: the rise by resistance, IEC 60034-1, 8.6.2: ϑ₂ = R₂/R₁ (234.5 + ϑ₁) − 234.5.
    let hot_ohm = 0.4 * copper::ratio(291.15, 391.15);
    assert!((hot_ohm / 0.4 * (234.5 + 18.0) - 234.5 - 118.0).abs() < 1e-9);
}

#[test]
fn wires_as_the_tables_have_them() {
    // ASTM B258 with 1/58, computed with NumPy; Floyd's printed table in Ω per 1000 ft to four digits.
    let rows = [
        (12.0, 2.052525388, 5.210807739, 1.588),
        (18.0, 1.023687343, 20.948236, 6.385),
        (20.0, 0.8118209704, 33.30899996, 10.15),
        (24.0, 0.5105592271, 84.21508015, 25.67),
        (30.0, 0.254639003, 338.5573719, 103.2),
        (36.0, 0.127, 1361.051891, 414.8),
    ];
    for (gauge, mm, ohm_km, printed) in rows {
        assert!((wire::awg_diameter_m(gauge) * 1e3 / mm - 1.0).abs() < 1e-8, "{gauge}");
        let ours = wire::solid_ohm_per_m(wire::awg_section_m2(gauge));
        assert!((ours * 1e3 / ohm_km - 1.0).abs() < 1e-8, "{gauge}");
        assert!((ours * 304.8 / printed - 1.0_f64).abs() < 0.001, "{gauge}");
    }
    // IEC 60228:2004 table 3, flexible, class 5.
    for (mm2, ohm_km) in [(0.5, 39.0), (0.75, 26.0), (1.0, 19.5), (1.5, 13.3), (2.5, 7.98), (4.0, 4.95), (6.0, 3.3), (10.0, 1.91)]
    {
        assert!((wire::flexible_ohm_per_m(mm2 * 1e-6) * 1e3 - ohm_km).abs() < 1e-9, "{mm2}");
        // A flexible wire of the standard is never better than solid copper of its section.
        assert!(wire::flexible_ohm_per_m(mm2 * 1e-6) > wire::solid_ohm_per_m(mm2 * 1e-6));
    }
    assert!(wire::flexible_ohm_per_m(0.85e-6) < 26e-3 && wire::flexible_ohm_per_m(0.85e-6) > 19.5e-3);
    // 10 A over 2 m of 1.5 mm², out and back, computed with NumPy.
    let r = wire::flexible_ohm_per_m(1.5e-6);
    assert!((wire::drop_v(10.0, r, 4.0, COLD_K) - 0.532).abs() < 1e-9);
    assert!((wire::drop_v(10.0, r, 4.0, 333.15) - 0.6156149312).abs() < 1e-9);
    // The rise, put into the balance of heat; and back from it.
    let rise = wire::rise_k(12.0, r, 303.15, 2.8e-3, 12.0);
    let heat = 144.0 * r * copper::ratio(COLD_K, 303.15 + rise);
    assert!((heat - 12.0 * std::f64::consts::PI * 2.8e-3 * rise).abs() < 1e-9);
    assert!((wire::current_for_rise(rise, r, 303.15, 2.8e-3, 12.0) - 12.0).abs() < 1e-9);
    assert!(wire::rise_k(200.0, r, 303.15, 2.8e-3, 12.0).is_nan());
}

#[test]
fn peukert_as_worked_by_hand() {
    // t = H (C/(I H))^k. 100 A·h at 20 h, k = 1.2: 10 A last 20 (1/2)^1.2 = 8.7055056 h; 20 A 3.7892914 h. k = 1: charge over current.
    let lasts = |amps: f64, k: f64| 100.0 / battery::peukert_current(amps, 100.0 * HOUR_S, 20.0 * HOUR_S, k);
    assert!((lasts(10.0, 1.2) - 8.705505633).abs() < 1e-8, "{}", lasts(10.0, 1.2));
    assert!((lasts(20.0, 1.2) - 3.789291416).abs() < 1e-8, "{}", lasts(20.0, 1.2));
    assert!((lasts(20.0, 1.0) - 5.0).abs() < 1e-12);
    assert!((lasts(5.0, 1.3) - 20.0).abs() < 1e-12 && (lasts(1.0, 1.3) - 100.0).abs() < 1e-12);
}

#[test]
fn rest_volts_as_the_table_has_them() {
    // Battery Council International, 12 V flooded, 26.7 °C.
    for (charge, volts) in [(1.0, 12.65), (0.75, 12.45), (0.5, 12.24), (0.25, 12.06), (0.0, 11.89)] {
        assert!((battery::rest_volts(6.0, charge) - volts).abs() < 1e-12, "{charge}");
        assert!((battery::charge_of(6.0, volts) - charge).abs() < 1e-9, "{charge}");
        assert!((battery::rest_volts(3.0, charge) - 0.5 * volts).abs() < 1e-12);
    }
    assert_eq!((battery::charge_of(6.0, 14.0), battery::charge_of(6.0, 9.0)), (1.0, 0.0));
    assert!((battery::accepts(9.0 * HOUR_S, 0.5, 0.3, 0.8) - 2.7).abs() < 1e-12);
    assert!((battery::accepts(9.0 * HOUR_S, 0.9, 0.3, 0.8) - 1.35).abs() < 1e-12);
    assert!((battery::at_temperature(273.15, 0.008) - 0.8).abs() < 1e-12);
}

/// Slope of the table of the Battery Council International between its points, by hand: 25 % over 0.20 V, 0.17 V and so on, past the ends as at them.
#[test]
fn charge_for_each_volt_of_rest() {
    for (volts, apart) in [(11.5, 0.17), (12.0, 0.17), (12.2, 0.18), (12.4, 0.21), (12.6, 0.20), (12.9, 0.20)] {
        assert!((battery::charge_per_volt(6.0, volts) * apart / 0.25 - 1.0).abs() < 1e-9, "{volts}");
    }
}
