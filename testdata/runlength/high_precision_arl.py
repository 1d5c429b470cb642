"""Run lengths of the one-sided normal CUSUM to 20 digits.

Solves the same integral equation as package runlength by Gauss-Legendre nodes,
but in 320-digit decimal arithmetic, with nodes by Newton's method and plain
elimination, so that nothing is lost to rounding however long the run is.

    python3 high_precision_arl.py       (standard library only; about a minute)
"""
import math
from decimal import Decimal as D, getcontext

getcontext().prec = 320
TINY = D(10) ** -315


def arctan_inverse(n):
    term = total = D(1) / n
    k = 1
    while abs(term) > TINY:
        term = -term / (n * n)
        k += 2
        total += term / k
    return total


PI = 4 * (4 * arctan_inverse(5) - arctan_inverse(239))


def normal(z):
    """Standard normal distribution function, by the series of erf."""
    x = z / D(2).sqrt()
    term = total = x
    n = 0
    while True:
        n += 1
        term = -term * x * x / n
        part = term / (2 * n + 1)
        total += part
        if abs(part) < TINY and n > x * x:
            return (1 + 2 * total / PI.sqrt()) / 2


def legendre(n):
    nodes, weights = [], []
    for i in range(n):
        x = D(math.cos(math.pi * (i + 0.75) / (n + 0.5)))
        for step in range(11):
            before, value = D(1), x
            for k in range(2, n + 1):
                before, value = value, ((2 * k - 1) * x * value - (k - 1) * before) / k
            slope = n * (x * value - before) / (x * x - 1)
            if step < 10:
                x -= value / slope
        nodes.append(x)
        weights.append(2 / ((1 - x * x) * slope * slope))
    return nodes, weights


def run_length(k, h, shift, n):
    drift, h = D(k) - D(shift), D(h)
    nodes, weights = legendre(n)
    x = [D(0)] + [(u + 1) / 2 * h for u in nodes]
    w = [None] + [v * h / 2 for v in weights]
    c = 1 / (2 * PI).sqrt()

    def entry(i, j):
        move = normal(drift - x[i]) if j == 0 else w[j] * c * (-(x[j] + drift - x[i]) ** 2 / 2).exp()
        return (1 if i == j else 0) - move

    a = [[entry(i, j) for j in range(n + 1)] + [D(1)] for i in range(n + 1)]
    for p in range(n, 0, -1):
        for i in range(p):
            f = a[i][p] / a[p][p]
            for j in list(range(p)) + [n + 1]:
                a[i][j] -= f * a[p][j]
    return a[0][n + 1] / a[0][0]


print("k,h,shift,arl")
for k, h, shift, n in (("0", 10, "-0.25", 60), ("0.5", 5, "0", 60), ("0.5", 12, "0", 60),
                       ("0.5", 20, "0", 90), ("0.5", 30, "0", 110)):
    print(f"{k},{h},{shift},{run_length(k, h, shift, n):.20g}", flush=True)
