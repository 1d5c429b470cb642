"""What a person would write in Python for a log: law of walls, lives, waste,
five charts and a workbook. python3 answers.py LOG OUT; LOG holds CSV files
or workbooks."""

import glob
import os
import sys

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np
import pandas as pd
from openpyxl import Workbook
from openpyxl.drawing.image import Image
from scipy.optimize import brentq
from statsmodels.regression.mixed_linear_model import MixedLM

log, out = sys.argv[1:3]


def read(table, **options):
    files = sorted(glob.glob(os.path.join(log, table + "*.csv")) + glob.glob(os.path.join(log, table + "*.xlsx")))
    read_one = lambda f: pd.read_csv(f, **options) if f.endswith(".csv") else pd.read_excel(f, **options)
    return pd.concat([read_one(f) for f in files], ignore_index=True)


def number(column):
    return pd.to_numeric(column, errors="coerce")  # slips of the pen become NaN


text = {"Dwell (min)": str, "Wall (mm)": str}
casts = read("casts", usecols=["Mold", "Slip batch", "Dwell (min)", "Wall (mm)"], dtype=text)
casts.columns = [{"Mold": "mold", "Slip batch": "slip", "Dwell (min)": "dwell", "Wall (mm)": "wall"}[c] for c in casts.columns]
molds, slips, pours = read("molds"), read("slips"), read("pours")
casts["mold"] = casts["mold"].str.upper()
casts["dwell"], casts["wall"] = number(casts["dwell"]), number(casts["wall"])
casts["age"] = casts.groupby("mold", sort=False).cumcount()  # the log is in the order of casting
made = casts.groupby("mold").size().rename("age")

# Walls: casts with a believable wall and dwell.
casts = casts.merge(molds[["Mold", "Form", "Kind"]], left_on="mold", right_on="Mold", how="left")
casts = casts.merge(slips[["Slip", "Specific gravity", "Temperature (°C)"]], left_on="slip", right_on="Slip", how="left")
casts = casts.rename(columns={"Form": "form", "Kind": "kind", "Specific gravity": "sg", "Temperature (°C)": "temp"})
used = casts[casts["wall"].between(0.5, 30) & casts["dwell"].between(1, 720) & casts["form"].notna() & casts["sg"].notna()].copy()
used["y"], used["t"] = np.log(used["wall"]), np.log(used["dwell"])
off = used["y"] - used["t"] / 2
off -= off.groupby(used["form"]).transform("median")
used = used[off.abs() < 6 * 1.4826 * off.abs().median()].copy()  # gross typing errors
age = used["age"] / 100
x = pd.get_dummies(used["form"]).astype(float)
forms = list(x.columns)
x["t"] = used["t"]
kinds = sorted(used["kind"].unique())
for kind in kinds:
    x["age " + kind] = age.where(used["kind"] == kind, 0.0)
x["sg"] = used["sg"] - used["sg"].mean()
x["temp"] = used["temp"] - used["temp"].mean()
z = np.column_stack([np.ones(len(used)), age])
model = MixedLM(used["y"].to_numpy(), x.to_numpy(), used["mold"].to_numpy(), exog_re=z).fit(reml=True, method="lbfgs")
effect = pd.DataFrame({"term": x.columns, "estimate": model.fe_params, "std_error": model.bse_fe})
beta = dict(zip(x.columns, model.fe_params))
modes = pd.DataFrame({g: np.asarray(v) for g, v in model.random_effects.items()}, index=["level", "wear_per_100"]).T
own = modes.loc[used["mold"]]
used["fitted"] = np.exp(x.to_numpy() @ model.fe_params + own["level"].to_numpy() + own["wear_per_100"].to_numpy() * age.to_numpy())

# Lives: an end by wear or breakage is an end; slow molds and those in use are censored.
lives = molds.merge(made, left_on="Mold", right_index=True)
lives["ended"] = lives["End reason"].notna() & ~lives["End reason"].isin(["slow", "other"])
lives["exit"] = lives["age"] + np.where(lives["ended"], 0.0, 0.5)


def weibull(life, ended):
    """Maximum likelihood by the profile equation of the shape."""
    logs, top = np.log(life), life.max()

    def slope(shape):
        w = (life / top) ** shape
        return (w * logs).sum() / w.sum() - 1 / shape - logs[ended].mean()

    shape = brentq(slope, 0.05, 50, xtol=1e-12)
    return shape, top * (((life / top) ** shape).sum() / ended.sum()) ** (1 / shape)


laws = []
for kind, g in lives.groupby("Kind"):
    if g["ended"].sum() < 3:
        continue
    shape, scale = weibull(g["exit"].to_numpy(), g["ended"].to_numpy())
    laws.append({"kind": kind, "shape": shape, "scale": scale, "ended": g["ended"].sum(), "molds": len(g)})
laws = pd.DataFrame(laws, columns=["kind", "shape", "scale", "ended", "molds"])

# Waste: what was weighed wet, as dry plaster; a failed pour is lost whole.
dry = 1 / (1 + pours["Water (kg)"] / pours["Plaster (kg)"])
weighed = pours[["Left over (kg)", "Spilled (kg)", "Trimmed off (kg)"]].fillna(0).sum(axis=1)
pours["waste_kg"] = np.where(pours["Outcome"] == "good", dry * weighed, pours["Plaster (kg)"])
waste = pours.groupby(["Class", "Outcome"]).agg(pours=("Pour", "size"), plaster_kg=("Plaster (kg)", "sum"), waste_kg=("waste_kg", "sum")).reset_index()
waste["share"] = waste["waste_kg"] / waste["plaster_kg"]

# Charts.
some = used.sample(min(len(used), 20000), random_state=1)
charts = []


def chart(name, draw):
    figure, axes = plt.subplots(figsize=(7, 5), dpi=110)
    draw(axes)
    figure.savefig(os.path.join(out, name + ".png"))
    plt.close(figure)
    charts.append(name)


def wall_against_dwell(a):
    for kind, g in some.groupby("kind"):
        a.plot(g["dwell"], g["wall"], ".", ms=2, alpha=0.3, label=kind)
    a.set(xlabel="Dwell (min)", ylabel="Wall (mm)")
    a.legend()


def measured_against_fitted(a):
    a.plot(some["fitted"], some["wall"], ".", ms=2, alpha=0.3)
    a.axline((0, 0), slope=1)
    a.set(xlabel="Fitted (mm)", ylabel="Measured (mm)")


def rate_against_age(a):
    rate = (used["wall"] ** 2 / used["dwell"]).groupby([used["kind"], 5 * (used["age"] // 5)]).mean()
    for kind, g in rate.groupby(level=0):
        a.plot(g.index.get_level_values(1), g, label=kind)
    a.set(xlabel="Mold age (casts)", ylabel="Casting rate (mm²/min)")
    a.legend()


def survival(a):
    ages = np.arange(301)
    for law in laws.itertuples():
        g = lives[lives["Kind"] == law.kind].groupby("exit")["ended"].agg(["sum", "size"])
        at_risk = g["size"][::-1].cumsum()[::-1]
        a.step(g.index, (1 - g["sum"] / at_risk).cumprod(), where="post", label=law.kind)
        a.plot(ages, np.exp(-((ages / law.scale) ** law.shape)), "--")
    a.set(xlabel="Mold age (casts)", ylabel="Share still in use")
    a.legend()


def waste_by_class(a):
    waste.pivot(index="Class", columns="Outcome", values="waste_kg").plot.bar(stacked=True, ax=a)
    a.set(xlabel="", ylabel="Waste (kg)")


for name, draw in [("wall_against_dwell", wall_against_dwell), ("measured_against_fitted", measured_against_fitted),
                   ("rate_against_age", rate_against_age), ("lives", survival), ("waste", waste_by_class)]:
    chart(name, draw)

# Workbook.
book = Workbook()
book.remove(book.active)
per_mold = modes.join(made, how="inner").rename_axis("mold").reset_index()
for name, table in [("Wall fit", effect), ("Lives", laws), ("Waste", waste), ("Molds", per_mold)]:
    sheet = book.create_sheet(name)
    sheet.append(list(table.columns))
    for row in table.itertuples(index=False):
        sheet.append([v.item() if hasattr(v, "item") else v for v in row])
    sheet.freeze_panes = "A2"
sheet = book.create_sheet("Charts")
for i, name in enumerate(charts):
    sheet.add_image(Image(os.path.join(out, name + ".png")), f"A{1 + 28 * i}")
book.save(os.path.join(out, "report.xlsx"))

answers = [("exponent", beta["t"])] + [("wear " + k, -beta["age " + k] / 100) for k in kinds]
answers += [("shape " + l.kind, l.shape) for l in laws.itertuples()] + [("scale " + l.kind, l.scale) for l in laws.itertuples()]
answers += [("waste_kg", pours["waste_kg"].sum()), ("casts fitted", len(used)), ("converged", float(model.converged))]
pd.DataFrame(answers, columns=["name", "value"]).to_csv(os.path.join(out, "answers.csv"), index=False)
