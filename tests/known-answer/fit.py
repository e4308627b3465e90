# SPDX-License-Identifier: GPL-3.0-or-later
"""Known answer of the fit, from a second implementation that shares nothing with the first.

usage: fit.py NOONFIT FOLDER    (needs scipy)

A bare collector with a wooden back and its store under a clear sky is simulated (eight segments, each
absorber, board and fluid; Runge and Kutta's fourth-order rule, vectorised over parameter sets), a run
folder is written to FOLDER and NOONFIT fit --json asked. The same record is then fitted here: the
collector driven by the inlet's readings, the store a balance fed by flow and probes, same parameters,
same prior uncertainties, scipy.optimize.least_squares. So that both solve one problem, what drives is
averaged as the program does it (noise that drives acts on the answer: over half the time it moved the
exchange by 1.6 u and a1 by 0.5 u), the fitted model steps by the implicit Euler rule in the program's
steps, and the size of the noise is taken from the residuals. What the steps cost is the matter of
engines.py. Values and standard uncertainties must agree within a tenth of u.
"""
import csv
import json
import math
import os
import subprocess
import sys

import numpy
from scipy.optimize import brentq, least_squares, minimize

SEGMENTS = 8
STEP, BLOCK, START = 5.0, 10.0, 300.0
SUB = 4  # integration steps in one step of the weather
SECONDS = 3600
AREA, DRY_CAPACITY, FLUID_KG, WATER_KG, STORE_DRY, STORE_LOSS = 0.9, 4000.0, 0.4, 30.0, 1200.0, 2.0
LAG = 12.0  # of the store's sensor
BACK, OUTSIDE = 8000.0, 7.0  # J/(m2 K) of the board; W/(m2 K) from it to the air outside
PUMP = 4.0
# What drives is averaged over so many s to each side, up to the first neighbour that is further off than
# 4 standard uncertainties of a step's mean (the program's choices).
SMOOTH, SMOOTH_FLOW = 60.0, 120.0
# And so far where it goes straight on.
CALM, CALM_FLOW = 480.0, 1920.0
# What outlet and store depart from any model, as a share of the rise (the store by a third, and a third of MIXED, K), and
# for how long, s (the program's choice).
MISREAD, MISREAD_S, MIXED = 0.004, 600.0, 0.03
# Net long-wave exchange where nothing tells of it, as the program takes it: emissivity 0.81 of the sky,
# 0.95 of the ground, a plane of 45 degrees.
VIEW, SKY_EMISSIVITY, GROUND = (1 + math.cos(math.pi / 4)) / 2, 0.81, 0.95
NOISE, FLOW_NOISE = 0.1, 0.003  # K, L/min: of each reading
# IAPWS-95 at one atmosphere.
WATER_T = [10, 20, 30, 40, 50]
WATER_RHO = [999.702, 998.207, 995.649, 992.216, 988.035]
WATER_CP = [4195.2, 4184.1, 4179.8, 4179.4, 4181.3]

# Name, stated value, standard uncertainty: as rig.ini says. None: taken from the program's answer,
# since rig.ini says nothing about it. Logarithms where the name begins with ln.
PARAMETERS = [
    ("optical", 0.7, 0.5), ("loss", 10.0, 20.0), ("loss2", None, None),
    ("ln exchange", None, None), ("ln capacity", math.log(DRY_CAPACITY / AREA), 0.2),
    ("ln fluid", None, 0.05), ("area", 0.0, 0.005), ("water", 0.0, 0.005),
    ("dry", STORE_DRY, 120.0), ("store loss", STORE_LOSS, 0.4), ("sun gain", 0.0, 0.03),
    ("air offset", 0.0, 0.3), ("ln flow", 0.0, 0.02), ("sky", None, None), ("sky offset", None, None),
    ("store offset", 0.0, 0.15),
    ("inlet offset", 0.0, 0.15), ("outlet offset", 0.0, 0.15), ("start store", None, 5.0),
    ("start collector", None, 20.0), ("ln pump", math.log(PUMP), 0.15), ("lost", 0.0, math.hypot(0.1 / WATER_KG * SECONDS / 3600, 0.025)),
    ("ln back", math.log(BACK), 0.2), ("ln gap", None, None), ("fade", 0.0, 0.003),
    ("sun on air", None, None), ("inlet drift", 0.0, 0.035), ("outlet drift", 0.0, 0.035),
    ("loss trend", 0.0, 0.16),
]
NAMES = [p[0] for p in PARAMETERS]
LABELS = {
    "loss2": "collector loss, rise with temperature", "ln exchange": "absorber-to-fluid heat transfer",
    "ln capacity": "collector heat capacity", "ln fluid": "fluid content", "area": "gross area",
    "water": "water mass", "dry": "container, dry heat capacity", "store loss": "container loss",
    "sun gain": "irradiance sensor, gain", "air offset": "air sensor, offset",
    "ln flow": "flow meter, gain", "sky": "share in the long-wave exchange with the sky",
    "sky offset": "long-wave exchange with the sky, as taken", "store offset": "store sensor, offset",
    "ln pump": "pump, heat to the water", "lost": "water gone by the end",
    "ln back": "board behind the absorber, heat capacity",
    "ln gap": "board behind the absorber, heat transfer to it", "sun on air": "sun on the air sensor",
    "inlet offset": "inlet sensor, offset", "outlet offset": "outlet sensor, offset",
}


def water(t, table):
    return float(numpy.interp(t, WATER_T, table))


def net_sky(air):
    return (VIEW * SKY_EMISSIVITY + (1 - VIEW) * GROUND - 1) * 5.670374419e-8 * (air + 273.15) ** 4


def derivative(y, p, when, sun, air, flow, cp_store):
    """y: absorbers, fluids, boards, store, store's sensor in columns; p: dict of columns; when: -0.5 at
    the beginning to 0.5 at the end. The loop is closed by the store. The board's loss at rest is part of the
    collector's, and taken off there."""
    absorber, fluid = y[:, :SEGMENTS], y[:, SEGMENTS:2 * SEGMENTS]
    board = y[:, 2 * SEGMENTS:3 * SEGMENTS]
    store, sensor = y[:, -2:-1], y[:, -1:]
    inlet, outlet = store, fluid[:, -1:]
    true_sun = sun / (1 + p["sun gain"]) / (1 + p["fade"] * when)
    true_air = air - p["air offset"] - p["sun on air"] * sun / 1000
    area = AREA * (1 + p["area"])
    w = flow * numpy.exp(p["ln flow"])
    above = absorber - true_air
    exchange = numpy.exp(p["ln exchange"]) * (absorber - fluid)
    gap = numpy.exp(p["ln gap"])
    behind = gap * (absorber - board)
    d = numpy.empty_like(y)
    d[:, 2 * SEGMENTS:3 * SEGMENTS] = ((behind - OUTSIDE * (board - true_air)) / numpy.exp(p["ln back"]))
    d[:, :SEGMENTS] = (p["optical"] * true_sun + p["sky"] * (net_sky(air) + p["sky offset"])
                       - p["loss"] * (1 + p["loss trend"] * when) * above - p["loss2"] * above ** 2
                       - exchange - behind + above / (1 / gap + 1 / OUTSIDE)) / numpy.exp(p["ln capacity"])
    before = numpy.concatenate([inlet, fluid[:, :-1]], axis=1)
    d[:, SEGMENTS:2 * SEGMENTS] = ((exchange * area / SEGMENTS + w * (before - fluid))
                                   / (numpy.exp(p["ln fluid"]) / SEGMENTS))
    left = 1 + p["water"] - p["lost"] * (when + 0.5)
    d[:, -2:-1] = ((w * (outlet - inlet) - p["store loss"] * (store - true_air) + numpy.exp(p["ln pump"]))
                   / (WATER_KG * cp_store * left + p["dry"]))
    d[:, -1:] = (store - sensor) / LAG
    return d


def simulate(x, sun, air, flow, cp_store):
    """x: [sets, parameters]; weather: one value a step. Returns store's sensor, store, outlet
    [sets, SECONDS + 1], second by second, without offsets."""
    p = {name: x[:, i:i + 1] for i, name in enumerate(NAMES)}
    y = at_start(p, air[0], sun[0], len(x))
    columns = [-1, -2, 2 * SEGMENTS - 1]
    times, rows = [0.0], [y[:, columns].copy()]
    h = STEP / SUB
    for k in range(len(sun)):
        when = (k + 0.5) / len(sun) - 0.5
        weather = (p, when, sun[k], air[k], flow[k], cp_store)
        for s in range(SUB):
            k1 = derivative(y, *weather)
            k2 = derivative(y + h / 2 * k1, *weather)
            k3 = derivative(y + h / 2 * k2, *weather)
            k4 = derivative(y + h * k3, *weather)
            y = y + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
            times.append(STEP * k + h * (s + 1))
            rows.append(y[:, columns].copy())
    seconds = numpy.arange(SECONDS + 1.0)
    rows = numpy.array(rows)
    out = numpy.empty((3, len(x), SECONDS + 1))
    for c in range(3):
        for i in range(len(x)):
            out[c, i] = numpy.interp(seconds, times, rows[:, i, c])
    return out


def step(y, h, p, when, sun, air, flow, cp_store, driven):
    """The same by one step of the implicit Euler rule, as the program takes it: cell by cell along the
    tube, the bend of the loss from the absorber before the step."""
    store, sensor = y[:, -2:-1], y[:, -1:]
    inlet = driven[0] - p["inlet offset"] - p["inlet drift"] * when
    outlet = driven[1] - p["outlet offset"] - p["outlet drift"] * when
    true_sun = sun / (1 + p["sun gain"]) / (1 + p["fade"] * when)
    true_air = air - p["air offset"] - p["sun on air"] * sun / 1000
    gain = p["optical"] * true_sun + p["sky"] * (net_sky(air) + p["sky offset"])
    w = flow * numpy.exp(p["ln flow"])
    exchange, gap = numpy.exp(p["ln exchange"]), numpy.exp(p["ln gap"])
    inside = exchange * AREA * (1 + p["area"]) / SEGMENTS
    absorber_h, board_h = numpy.exp(p["ln capacity"]) / h, numpy.exp(p["ln back"]) / h
    fluid_h = numpy.exp(p["ln fluid"]) / SEGMENTS / h
    rest = 1 / (1 / gap + 1 / OUTSIDE)
    behind = board_h + gap + OUTSIDE
    new, before = y.copy(), inlet
    for i in range(SEGMENTS):
        a, f, b = y[:, [i]], y[:, [SEGMENTS + i]], y[:, [2 * SEGMENTS + i]]
        loss = p["loss"] * (1 + p["loss trend"] * when) + p["loss2"] * (a - true_air)
        total = absorber_h + loss + exchange + gap - rest - gap ** 2 / behind
        known = (absorber_h * a + gain + (loss - rest) * true_air
                 + gap * (board_h * b + OUTSIDE * true_air) / behind)
        before = ((fluid_h * f + w * before + inside * known / total)
                  / (fluid_h + w + inside * (1 - exchange / total)))
        a = (known + exchange * before) / total
        new[:, [i]], new[:, [SEGMENTS + i]] = a, before
        new[:, [2 * SEGMENTS + i]] = (board_h * b + gap * a + OUTSIDE * true_air) / behind
    left = 1 + p["water"] - p["lost"] * (when + 0.5)
    store_h = (WATER_KG * cp_store * left + p["dry"]) / h
    new[:, -2:-1] = ((store_h * store + w * (outlet - inlet) + p["store loss"] * true_air
                      + numpy.exp(p["ln pump"])) / (store_h + p["store loss"]))
    new[:, -1:] = sensor + h / (h + LAG) * (new[:, -2:-1] - sensor)
    return new


def at_start(p, air, sun, sets):
    y = numpy.zeros((sets, 3 * SEGMENTS + 2))
    y[:, :2 * SEGMENTS] = p["start collector"]
    gap, true_air = numpy.exp(p["ln gap"]), air - p["air offset"] - p["sun on air"] * sun / 1000
    y[:, 2 * SEGMENTS:3 * SEGMENTS] = true_air + gap / (gap + OUTSIDE) * (p["start collector"] - true_air)
    y[:, -2:] = p["start store"]
    return y


def stepped(x, sun, air, flow, cp_store, driven):
    """Block means of store's sensor and outlet [2, sets, blocks], by the implicit rule in steps of STEP:
    each block the trapezoidal mean over its steps."""
    p = {name: x[:, i:i + 1] for i, name in enumerate(NAMES)}
    y = at_start(p, air[0], sun[0], len(x))
    rows = [y[:, [-1, 2 * SEGMENTS - 1]]]
    for k in range(len(sun)):
        when = (k + 0.5) / len(sun) - 0.5
        y = step(y, STEP, p, when, sun[k], air[k], flow[k], cp_store, driven[:, k])
        rows.append(y[:, [-1, 2 * SEGMENTS - 1]])
    rows = numpy.array(rows).transpose(2, 1, 0)
    middle = (rows[..., 1:] + rows[..., :-1]) / 2
    n = int(BLOCK / STEP)
    return middle.reshape(middle.shape[:-1] + (-1, n)).mean(-1)


def means(values, seconds):
    n = SECONDS // int(seconds)
    return values[..., :n * int(seconds)].reshape(values.shape[:-1] + (n, int(seconds))).mean(-1)


# -- the record

def make_record(folder):
    """What really was, what the sensors said of it, and the folder."""
    rng = numpy.random.default_rng(20)
    t = numpy.arange(SECONDS + 1.0)
    sun = 780 + 120 * numpy.sin(t / 1500) - 250 * ((t % 1300) > 1000)  # a cloud now and then
    air = 19 + t / 1800
    flow_L_min = 1.1 + 0.05 * numpy.sin(t / 400)
    density, cp = 0.997, water(24, WATER_CP)
    truth = dict(zip(NAMES, [
        0.75, 9.0, 0.02, math.log(80.0), math.log(DRY_CAPACITY * 1.15 / AREA),
        math.log(FLUID_KG * 4182 * 1.03), 0.004, -0.003, STORE_DRY + 60, STORE_LOSS + 0.2, 0.0, 0.0,
        0.0, 0.75, 10.0, 0.0, 0.0, 0.0, 15.0, 20.0, math.log(PUMP * 1.1), 0.005,
        math.log(BACK * 0.9), math.log(4.0), 0.0, 0.5, 0.0, 0.0, 0.05]))
    readings = simulate(numpy.array([[truth[n] for n in NAMES]]), means(sun, STEP), means(air, STEP),
                        means(flow_L_min, STEP) / 60 * density * cp, cp)[:, 0]
    offset = [0.12, -0.1, 0.08]
    columns = [readings[c] + offset[c] + NOISE * rng.standard_normal(SECONDS + 1) for c in range(3)]
    columns.append(air + 0.2 + 0.02 * rng.standard_normal(SECONDS + 1))
    columns.append(sun * 1.02 + rng.standard_normal(SECONDS + 1))
    columns.append(flow_L_min * 0.985 + FLOW_NOISE * rng.standard_normal(SECONDS + 1))
    os.mkdir(folder)
    with open(os.path.join(folder, "rig.ini"), "w", encoding="utf-8") as f:
        f.write(f"""[collector]
name = two ways to one answer
gross_area_m2 = {AREA}
u_gross_area_m2 = {0.005 * AREA}
glazing = none
dew = no
fluid_kg = {FLUID_KG}
u_fluid_kg = {0.05 * FLUID_KG}
heat_capacity_J_K = {DRY_CAPACITY}
u_heat_capacity_J_K = {0.2 * DRY_CAPACITY}
back_heat_capacity_J_K = {BACK * AREA}
u_back_heat_capacity_J_K = {0.2 * BACK * AREA}
[store]
water_kg = {WATER_KG}
u_water_kg = {0.005 * WATER_KG}
dry_heat_capacity_J_K = {STORE_DRY}
u_dry_heat_capacity_J_K = 120
loss_W_K = {STORE_LOSS}
u_loss_W_K = 0.4
lid = yes
pump_W = {PUMP}
u_pump_W = {0.15 * PUMP}
[channel store]
unit = degC
u_offset = 0.15
u_drift = 0.035
lag_s = {LAG}
[channel inlet]
unit = degC
u_offset = 0.15
u_drift = 0.035
[channel outlet]
unit = degC
u_offset = 0.15
u_drift = 0.035
[channel air]
unit = degC
u_offset = 0.3
[channel sun]
plane = collector
unit = W_m2
u_gain = 0.03
[channel flow]
unit = L_min
u_gain = 0.02
""")
    with open(os.path.join(folder, "readings.csv"), "w", encoding="utf-8") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(["time_utc", "elapsed_s", "store_degC", "inlet_degC", "outlet_degC", "air_degC",
                      "sun_W_m2", "flow_L_min"])
        for i in range(SECONDS + 1):
            clock = f"2026-06-01T{10 + i // 3600:02d}:{i // 60 % 60:02d}:{i % 60:02d}.000Z"
            out.writerow([clock, f"{i}.000"] + [f"{c[i]:.4f}" for c in columns])
    return [numpy.round(c, 4) for c in columns]


# -- the second fit

def smoothed(five, noise, reach_s):
    reach, band, out = int(reach_s / STEP), 4 * noise / math.sqrt(STEP), []
    for k, here in enumerate(five):
        low = high = k
        while high + 1 < len(five) and high < k + reach and abs(five[high + 1] - here) < band:
            high += 1
        while low > 0 and low > k - reach and abs(five[low - 1] - here) < band:
            low -= 1
        out.append(five[low:high + 1].mean())
    return numpy.array(out)


def calm(five, noise, reach_s, farthest_s):
    """Over further neighbours, twice as many each time, while they continue a straight line."""
    noise, near, out = noise / math.sqrt(STEP), int(reach_s / STEP), smoothed(five, noise * math.sqrt(STEP), reach_s)
    for k in range(near, len(five) - near):
        inner = five[k - near:k + near + 1]
        slope = (inner[near + 1:].mean() - inner[:near].mean()) / (near + 1)
        if (abs(inner - inner.mean() - slope * numpy.arange(-near, near + 1)) > 5 * noise).any():
            continue
        within, r = near, 2 * near
        while r * STEP <= farthest_s and r <= min(k, len(five) - 1 - k):
            sides = (five[k - r:k - within].mean() + five[k + within + 1:k + r + 1].mean()) / 2
            u = noise * math.sqrt(1 / (2 * (r - within)) + 1 / (2 * within + 1))
            if abs(sides - five[k - within:k + within + 1].mean()) >= 2.5 * u:
                break
            within, r = r, 2 * r
        out[k] = five[k - within:k + within + 1].mean()
    return out


def wandering(left, least, apart):
    """Covariance of a channel: white and slow noise by maximum likelihood, the slow one at least so large; what
    is missing has its own memory, and the neighbours' covariance is that of both."""
    def split(v):
        slow, phi = 1 / (1 + numpy.exp(-v[1:]))
        return math.exp(2 * v[0]) * (1 - slow), math.exp(2 * v[0]) * slow, phi

    def covariance(white, slow, phi):
        return white * numpy.eye(len(apart)) + slow * phi ** apart

    def unlikely(v):
        factor = numpy.linalg.cholesky(covariance(*split(v)) + 1e-12 * numpy.eye(len(apart)))
        return numpy.log(numpy.diag(factor)).sum() + (numpy.linalg.solve(factor, left) ** 2).sum() / 2

    begin = math.log(left.std())
    best = min((minimize(unlikely, [begin, s, p], method="Nelder-Mead", options={"maxfev": 150})
                for s, p in ((0, 2), (-2, 4), (-2, 0))), key=lambda m: m.fun)
    white, slow, phi = split(best.x)
    if slow < least ** 2:
        white, slow = (white + slow, 0) if phi < 0.6 else (white, slow)
        longer = max(math.exp(-BLOCK / MISREAD_S), phi)
        phi, slow = (slow * phi + (least ** 2 - slow) * longer) / least ** 2, least ** 2
    return covariance(white, slow, phi)


def priors_of(answer, cp):
    learned = {item["label"]: item for item in answer["learned"]}
    value, u = [], []
    for name, stated, stated_u in PARAMETERS:
        item = learned.get(LABELS.get(name))
        if name == "ln fluid":
            stated = math.log(FLUID_KG * cp)
        if item:
            log = name.startswith("ln") and name != "ln flow"
            told = math.log(item["stated"]) if log else item["stated"]
            told_u = item["stated_u"] / item["stated"] if log else item["stated_u"]
            if stated is None:
                stated, stated_u = told, told_u
            check(f"prior of {name}", told, stated, 1e-3 * max(abs(stated), stated_u))
            check(f"prior uncertainty of {name}", told_u, stated_u, 1e-3 * stated_u)
        value.append(stated)
        u.append(stated_u)
    return value, u


def fit(columns, answer):
    store_mean = columns[0].mean()
    cp = water(store_mean, WATER_CP)
    value, u = priors_of(answer, cp)
    value[NAMES.index("start store")] = columns[0][:10].mean()
    value[NAMES.index("start collector")] = columns[0][:10].mean() + 5
    value, u = numpy.array(value), numpy.array(u)
    sun, air = means(columns[4], STEP), means(columns[3], STEP)
    density = numpy.interp(means(columns[0], STEP), WATER_T, WATER_RHO) / 1000
    flow = calm(means(columns[5], STEP), FLOW_NOISE, SMOOTH_FLOW, CALM_FLOW) / 60 * density * cp
    first = int(START / BLOCK)
    measured = numpy.array([means(columns[c], BLOCK)[first:] for c in (0, 2)])
    sigma = numpy.full(2, NOISE / math.sqrt(BLOCK))  # of a block; estimated below, as the program has to
    offsets = [NAMES.index(n) for n in ("store offset", "outlet offset")]
    driven = numpy.array([calm(means(columns[c], STEP), NOISE, SMOOTH, CALM) for c in (1, 2)])
    rise = abs(measured[1] - driven[0][::2][first:]).mean()
    apart = abs(numpy.subtract.outer(range(measured.shape[1]), range(measured.shape[1])))

    blocks = int(SECONDS / BLOCK)
    along = ((numpy.arange(blocks) + 0.5) / blocks - 0.5)[first:]

    def residuals(z):  # [sets, parameters] in units of u -> [sets, rows]
        x = value + u * z
        modelled = stepped(x, sun, air, flow, cp, driven)[:, :, first:]
        modelled[1] += x[:, [NAMES.index("outlet drift")]] * along
        left = [modelled[c] + x[:, offsets[c], None] - measured[c] for c in range(2)]
        return numpy.concatenate([left[0] @ white[0].T, left[1] @ white[1].T, z], axis=1)

    def jacobian(z):
        h = 1e-4
        sets = numpy.concatenate([z + h * numpy.eye(len(z)), z - h * numpy.eye(len(z))])
        r = residuals(sets)
        return ((r[:len(z)] - r[len(z):]) / (2 * h)).T

    z = numpy.zeros(len(value))
    for again in range(2):
        # No outlet is believed to follow a model more closely than that, and no container's thermometer its water.
        least = MIXED / 3 + MISREAD / 3 * numpy.ptp(measured[0]), MISREAD * rise
        noise = [wandering(left[c] * sigma[c], least[c], apart) if again else sigma[c] ** 2 * numpy.eye(len(apart))
                 for c in range(2)]
        white = numpy.linalg.inv(numpy.linalg.cholesky(noise))
        found = least_squares(lambda z: residuals(z[None])[0], z, jac=jacobian, method="lm")
        z, left = found.x, found.fun[:measured.size].reshape(2, -1)
        # Chi-squared within five of its standard deviations: this fit describes this record.
        if not again:
            check("chi-squared per reading", float((left ** 2).mean()), 1, 5 * math.sqrt(2 / left.size))
            left, sigma = left * sigma[:, None], sigma * numpy.sqrt((left ** 2).mean(axis=1))
            left /= sigma[:, None]
    covariance = numpy.linalg.inv(found.jac.T @ found.jac) * numpy.outer(u, u)
    return value + u * found.x, covariance


# -- the steady-state curve

def outlet_of(p, inlet, sun, air, flow):
    sky = p["sky"] * (net_sky(air) + p["sky offset"])
    area = AREA * (1 + p["area"]) / SEGMENTS
    h, w = math.exp(p["ln exchange"]), flow * math.exp(p["ln flow"])
    fluid = inlet
    for _ in range(SEGMENTS):
        before = fluid

        def balance(absorber):  # heat into this cell's fluid, twice
            above = absorber - air
            heat = p["optical"] * sun + sky - p["loss"] * above - p["loss2"] * above ** 2
            return heat - h * (absorber - before - area * heat / w)

        absorber = brentq(balance, air - 50, air + 200, xtol=1e-12)
        above = absorber - air
        fluid = before + area * (p["optical"] * sun + sky - p["loss"] * above
                                - p["loss2"] * above ** 2) / w
    return fluid, w


def efficiency(x, reduced, at):
    p = dict(zip(NAMES, x))
    sun, air = at["irradiance_W_m2"], at["air_degC"]
    density = at["density"]
    flow = at["flow_L_min"] / 60 * density * at["cp"]
    goal = air + reduced * sun
    inlet = brentq(lambda t: (t + outlet_of(p, t, sun, air, flow)[0]) / 2 - goal, goal - 40, goal + 40,
                   xtol=1e-10)
    outlet, w = outlet_of(p, inlet, sun, air, flow)
    return w * (outlet - inlet) / (sun * AREA * (1 + p["area"]))


def with_uncertainty(result, x, covariance):
    gradient = []
    for i in range(len(x)):
        h = 1e-3 * math.sqrt(covariance[i, i])
        up, down = x.copy(), x.copy()
        up[i] += h
        down[i] -= h
        gradient.append((result(up) - result(down)) / (2 * h))
    gradient = numpy.array(gradient)
    return result(x), math.sqrt(gradient @ covariance @ gradient)


FAILURES = []


def check(what, got, expected, tolerance):
    good = abs(got - expected) <= tolerance
    if not good:
        FAILURES.append(what)
        print(f"FAILED: {what}: {got:.6g}, expected {expected:.6g} +- {tolerance:.2g}")


def of_memory(their_u, u):
    """The program also has to find out whether the noise has a memory, which here is known to be none.
    Of its answers that moves, by chance, what slow changes tell: a1 and the flow meter. Two estimates of
    one thing from one record differ by the difference of their variances (J. Hausman, Econometrica 46
    (1978) 1251)."""
    return 2 * math.sqrt(abs(their_u ** 2 - u ** 2))


def main():
    noonfit, folder = sys.argv[1:]
    columns = make_record(folder)
    answer = json.loads(subprocess.run([noonfit, "fit", folder, "--json"], check=True,
                                       stdout=subprocess.PIPE).stdout)
    if (answer["model"], answer["reference_temperature"]) != ("both", "mean"):
        sys.exit(f"another question was answered: {answer['model']}")
    x, covariance = fit(columns, answer)
    mean_store = columns[0].mean()
    at = dict(answer["conditions"], density=water(mean_store, WATER_RHO) / 1000,
              cp=water(mean_store, WATER_CP))
    lo, hi = answer["range"]["reduced_temperature"]
    span = max(hi, abs(lo), 0.01)
    ours = {
        "eta0": with_uncertainty(lambda z: efficiency(z, 0, at), x, covariance),
        "a1": with_uncertainty(lambda z: (efficiency(z, 0, at) - efficiency(z, span, at)) / span, x,
                               covariance),
        "store_loss": with_uncertainty(lambda z: z[NAMES.index("store loss")], x, covariance),
    }
    for name, (value, u) in ours.items():
        theirs = answer["parameters"][name]
        # What the program adds for its model's own error is no part of this question.
        own = sum(item["share_" + name] for item in answer["budget"]
                  if item["label"].startswith("the model itself")) if name != "store_loss" else 0
        their_u = theirs["u"] * math.sqrt(1 - own)
        print(f"{name}: noonfit {theirs['value']:.5f} u {their_u:.5f}, here {value:.5f} u {u:.5f}")
        noise = of_memory(their_u, u) if name == "a1" else 0
        check(name, theirs["value"], value, 0.1 * u + noise)
        check("u of " + name, their_u, u, 0.1 * u)
    flow = next(i for i in answer["learned"] if i["label"] == LABELS["ln flow"])
    i = NAMES.index("ln flow")
    u = math.sqrt(covariance[i, i])
    check("what was learnt of the flow meter", flow["found"], x[i],
          0.1 * u + of_memory(flow["found_u"], u))
    check("how sure of it", flow["found_u"], math.sqrt(covariance[i, i]),
          0.1 * math.sqrt(covariance[i, i]))
    sys.exit(1 if FAILURES else 0)


main()
