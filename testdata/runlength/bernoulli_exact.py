"""Average number of observations to signal of Bernoulli CUSUM charts, exactly.

S = S + up after an event, max(0, S - down) after none, from 0; a signal at
S >= limit (Reynolds & Stoumbos, J. Qual. Technol. 31, 1999). The mean number of
steps from each sum solves N(s) = 1 + p N(s + up) + (1 - p) N(max(0, s - down))
with N = 0 at the limit and beyond; solved here in rational numbers by Gaussian
elimination, so that the figures are exact before they are printed.

    python3 bernoulli_exact.py > bernoulli_exact.csv
"""
from fractions import Fraction


def anss(p, up, down, limit):
    rows = []
    for s in range(limit):
        row = [Fraction(0)] * (limit + 1)
        row[s] += 1
        row[limit] = Fraction(1)
        if s + up < limit:
            row[s + up] -= p
        row[max(0, s - down)] -= 1 - p
        rows.append(row)
    for i in range(limit):
        pivot = next(r for r in range(i, limit) if rows[r][i] != 0)
        rows[i], rows[pivot] = rows[pivot], rows[i]
        inverse = 1 / rows[i][i]
        rows[i] = [v * inverse for v in rows[i]]
        for r in range(limit):
            if r != i and rows[r][i] != 0:
                f = rows[r][i]
                rows[r] = [a - f * b for a, b in zip(rows[r], rows[i])]
    return rows[0][limit]


print("p,up,down,limit,anss")
for p, up, down, limit in [
    ("1/100", 29, 1, 45), ("1/100", 29, 1, 60), ("1/25", 12, 1, 27), ("1/25", 12, 1, 36),
    ("1/10", 5, 1, 12), ("1/10", 5, 1, 17), ("3/10", 4, 3, 15), ("1/4", 12, 1, 36), ("1/2", 2, 3, 9),
]:
    print(f"{p},{up},{down},{limit},{float(anss(Fraction(p), up, down, limit))!r}")
