"""Least squares with unknowns that are not negative, for non_negative_test.go, by
scipy.optimize.nnls. JSON in; out comes the distance left of the last unit vector,
or null where nnls gives up."""
import json
import sys

import numpy as np
from scipy.optimize import nnls


def distance(columns):
    matrix = np.array(columns).T
    target = np.zeros(len(matrix))
    target[-1] = 1
    try:
        return float(nnls(matrix, target)[1])
    except RuntimeError:
        return None


json.dump([distance(program["columns"]) for program in json.load(sys.stdin)], sys.stdout)
