"""Second opinions on fits of foam tests: statsmodels' ordinary least squares.

Called by second_opinion.py. Stresses and energies in pascals.
"""

import csv
import math


def drop_fit(path, first, last, *energies):
    """ln(G s) = ln a + b s h/t through the rows whose impact number lies from first to last.

    The file has density (kg/m3), thickness (mm), drop height (mm), static stress (kPa), peak (G), impact.
    """
    import numpy
    import statsmodels.api as sm

    with open(path, encoding="utf-8") as file:
        rows = [[float(cell) for cell in row] for row in list(csv.reader(file))[1:]]
    rows = [row for row in rows if int(first) <= row[5] <= int(last)]
    x = numpy.array([row[3] * 1e3 * row[2] / row[1] for row in rows])
    y = numpy.array([math.log(row[4] * row[3] * 1e3) for row in rows])
    fit = sm.OLS(y, sm.add_constant(x)).fit()
    interval = fit.conf_int(0.05)
    influence = fit.get_influence()
    test = fit.outlier_test("bonferroni", 0.05)
    table = numpy.asarray(test)
    worst = int(numpy.argmax(numpy.abs(table[:, 0])))
    answer = {
        "a": math.exp(fit.params[0]),
        "a_low": math.exp(interval[0][0]),
        "a_high": math.exp(interval[0][1]),
        "b": float(fit.params[1]),
        "b_low": float(interval[1][0]),
        "b_high": float(interval[1][1]),
        "scatter": math.sqrt(fit.mse_resid),
        "r_squared": float(fit.rsquared),
        "outliers": int(sum(table[:, 2] < 0.05)),
        "worst_residual": float(influence.resid_studentized_external[worst]),
        "worst_chance": float(table[worst, 2]),
    }
    bands = []
    for energy in map(float, energies):
        frame = fit.get_prediction([[1.0, energy]]).summary_frame(0.05)
        bands.append({key: math.exp(float(frame[key].iloc[0])) for key in frame if key != "mean_se"})
    answer["bands"] = bands
    return answer
