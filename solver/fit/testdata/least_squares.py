"""Solve the least squares problems of scipy_test.go, whose residuals are closed
forms, with scipy.optimize.least_squares. JSON in, JSON out.

Formulas: a symmetric V of base angle a and panel angle p at an opening f has its
ridge at w from the gutter, cos p = cos a cos w + sin a sin w cos(f/2), and its
panels at k, sin(k/2) = sin a sin(f/2)/sin p; a parallel fold with base lines at o
and panels w wide has its ridge o cos(f/2) + sqrt(w^2 - o^2 sin^2(f/2)) from the
gutter (O'Rourke's conditions; derived in the reference sheet).
"""
import json
import sys

import numpy as np
from scipy.optimize import least_squares


def v_fold(x, reading):
    a, p, ridge, at = np.radians(x[0]), np.radians(x[1]), x[2], x[3]
    half = np.radians(reading["opening"]) / 2
    q, r = np.cos(a), np.sin(a) * np.cos(half)
    w = np.arctan2(r, q) + np.arccos(np.cos(p) / np.hypot(q, r))
    return {
        "height": ridge * np.sin(w),
        "along": at + ridge * np.cos(w),
        "fold": np.degrees(2 * np.arcsin(np.sin(a) * np.sin(half) / np.sin(p))),
    }[reading["what"]]


def parallel_fold(x, reading):
    half = np.radians(reading["opening"]) / 2
    across = x[0] * np.sin(half)
    return {
        "height": x[0] * np.cos(half) + np.sqrt(x[1] ** 2 - across**2),
        "fold": np.degrees(2 * np.arcsin(across / x[1])),
    }[reading["what"]]


def solve(problem):
    model = {"v_fold": v_fold, "parallel_fold": parallel_fold}[problem["kind"]]

    def rest(x):
        return [(model(x, r) - r["value"]) / r["uncertainty"] for r in problem["readings"]]

    found = least_squares(rest, problem["start"], jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac")
    covariance = np.linalg.inv(found.jac.T @ found.jac)
    return {"x": list(found.x), "chi_square": 2 * found.cost, "covariance": covariance.tolist()}


json.dump([solve(p) for p in json.load(sys.stdin)], sys.stdout)
