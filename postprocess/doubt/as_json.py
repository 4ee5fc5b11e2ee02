"""Doubt and failure as results.json has them, in the units of case files."""

from __future__ import annotations

from typing import Any

from postprocess.doubt.failures import StateFailures
from postprocess.doubt.result import FloorDoubt
from postprocess.doubt.statistics import Probability
from postprocess.doubt.words import failure_words


def doubt_json(doubt: FloorDoubt) -> dict[str, Any]:
    """Assumptions, scatter of jack loads and frequency, sources, and every spring out of service."""
    assumed, frequency = doubt.assumptions, doubt.frequency
    return {
        "assumptions": {
            "samples": assumed.samples,
            "seed": assumed.seed,
            "rate_tolerance_percent": 100 * assumed.rate_tolerance,
            "batch_percent": 100 * assumed.batch_share,
            "thickness_deviation_mm": 1e3 * assumed.thickness_deviation,
            "thickness_correlation_mm": 1e3 * assumed.thickness_correlation,
            "thickness_variance_kept_percent": 100 * assumed.thickness_kept,
            "mass_deviation_percent": 100 * assumed.mass_deviation,
        },
        "jacks": _jacks(doubt),
        "any_jack_leaves_band": probability_json(doubt.any_leaves),
        "heave_frequency": {
            "nominal_hz": frequency.nominal,
            "mean_hz": frequency.mean,
            "deviation_hz": frequency.deviation,
            "percentile_5_hz": frequency.range[0],
            "percentile_95_hz": frequency.range[1],
            "target_hz": frequency.target,
            "above_target": None if frequency.above is None else probability_json(frequency.above),
        },
        "sources": [
            {
                "name": source.name,
                "share_of_load_variance": source.of_loads,
                "share_of_frequency_variance": source.of_frequency,
                "load_ratio_deviation": source.load_deviation,
                "frequency_deviation_hz": source.frequency_deviation,
            }
            for source in doubt.sources
        ],
        "sum_of_single_over_joint_variance": doubt.additivity,
        "failures": _failures(doubt),
        "left_out": list(doubt.left_out),
    }


def probability_json(probability: Probability) -> dict[str, Any]:
    """The share of the samples and its Wilson bounds."""
    low, high = probability.bounds
    return {"probability": probability.value, "bounds_95": [low, high]}


def _jacks(doubt: FloorDoubt) -> list[dict[str, Any]]:
    scatter = doubt.jacks
    return [
        {
            "id": name,
            "load_kN": {
                "nominal": doubt.loads[j] / 1e3,
                "mean": scatter.mean[j] / 1e3,
                "percentile_5": scatter.low[j] / 1e3,
                "percentile_95": scatter.high[j] / 1e3,
            },
            "under": probability_json(Probability(int(scatter.under[j]), scatter.samples)),
            "over": probability_json(Probability(int(scatter.over[j]), scatter.samples)),
        }
        for j, name in enumerate(doubt.ids)
    ]


def _failures(doubt: FloorDoubt) -> dict[str, Any]:
    failures = doubt.failures
    return {
        "cracking_moment_kNm_m": {name: moment / 1e3 for name, moment in failures.cracking.items()},
        "cracking_basis": dict(failures.cracking_words),
        "worst": list(failure_words(doubt)),
        "springs": [
            {
                "id": doubt.ids[jack],
                "held": bool(failures.held[row]),
                **(
                    {name: _state(doubt, state, row) for name, state in failures.states.items()}
                    if failures.held[row]
                    else {}
                ),
            }
            for row, jack in enumerate(failures.jacks)
        ],
    }


def _state(doubt: FloorDoubt, state: StateFailures, row: int) -> dict[str, Any]:
    return {
        "settlement_mm": 1e3 * state.settlement[row],
        "greatest_increase": {"id": doubt.ids[state.neighbour[row]], "load_kN": state.increase[row] / 1e3},
        "most_loaded": {"id": doubt.ids[state.loaded[row]], "load_ratio": float(state.ratio[row])},
        "solid_springs": int(state.solid[row]),
        "pulling_springs": int(state.pulling[row]),
        "greatest_moment": {
            "kNm_m": state.moment[row] / 1e3,
            "where": doubt.failures.places.name(int(state.place[row]), doubt.ids),
        },
    }
