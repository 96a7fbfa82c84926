"""What a kiln gets from its plug: elements are resistances, and so is a cable."""

from __future__ import annotations

from cofire.records import Supply

#: Resistance of copper in a loaded, warm cable, Ω mm²/m: 0.01724 at 20 °C (IACS), 0.4 % more for
#: each degree (from memory of tables), at about 60 °C.
_COPPER_OHM_MM2_M = 0.020
#: Ratings of circuits, A (IEC 60898-1 and sockets of 13 A; from memory).
_CIRCUITS_A = (6, 10, 13, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125)


def supplied(
    power_kw: float,
    rated_volts: float,
    wear: float,
    volts: float | None = None,
    circuit_a: float | None = None,
    cable_m: float = 0.0,
    cable_mm2: float = 1.0,
) -> Supply:
    """What elements of ``power_kw`` at their ``rated_volts`` get at other volts, behind a cable;
    ``wear`` is the share of their power that they lost with age."""
    elements_ohm = rated_volts**2 / (1000.0 * power_kw * (1.0 - wear))
    cable_ohm = 2.0 * cable_m * _COPPER_OHM_MM2_M / cable_mm2
    amps = (rated_volts if volts is None else volts) / (elements_ohm + cable_ohm)
    needs = next((a for a in _CIRCUITS_A if a >= amps), None)
    return Supply(
        volts_at_kiln=amps * elements_ohm,
        amps=amps,
        power_kw=1e-3 * amps**2 * elements_ohm,
        rated_kw=power_kw,
        rated_volts=rated_volts,
        wear=wear,
        circuit_a=circuit_a,
        needs_circuit_a=needs,
    )
