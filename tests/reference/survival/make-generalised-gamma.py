"""Writes generalised-gamma.json: tails by mpmath 1.3.0 with 60 digits, optima by scipy 1.17.1. Run in this folder."""
import json

import mpmath as mp
import numpy as np
from scipy import optimize, special

mp.mp.dps = 60


def tails(q, z):
    """Minus the logs of the upper and the lower tail, and the log density, of Prentice's W at z."""
    q, z = mp.mpf(q), mp.mpf(z)
    a = 1 / q**2
    log_density = a * (q * z - mp.e ** (q * z)) + a * mp.log(a) - mp.loggamma(a) + mp.log(q)
    if a < 2e4:
        x = a * mp.e ** (q * z)
        lower = mp.gammainc(a, 0, x, regularized=True)
        upper = mp.gammainc(a, x, mp.inf, regularized=True)
    else:
        density = lambda w: mp.exp(a * (q * w - mp.e ** (q * w)) + a * mp.log(a) - mp.loggamma(a) + mp.log(q))
        lower = mp.quad(density, [z - 20, z - 10, z - 5, z - 2, z - 1, z])
        upper = mp.quad(density, [z, z + 1, z + 2, z + 5, z + 10, z + 20])
    of = lambda tail, other: -mp.log(tail) if tail < 0.5 else -mp.log1p(-other)
    return [float(v) for v in (of(upper, lower), of(lower, upper), log_density)]


rows = []
for q in [0.001, 0.01, 0.05, 0.1, 0.1249, 0.126, 0.2, 0.3, 0.5, 0.7, 1, 1.3, 2, 3, 5]:
    for z in [-30, -12, -8, -5, -3, -2, -1, -0.5, -0.1, 0, 0.05, 0.3, 1, 2, 3, 4, 6, 8, 12, 25]:
        if q * z > 6 or (q == 0.001 and abs(z) > 12):
            continue
        rows.append({"q": q, "z": z, "values": tails(q, z)})


def log_survival(t, mu, sigma, q):
    with np.errstate(divide="ignore"):
        w = (np.log(t) - mu) / sigma
    a = 1 / q**2
    x = a * np.exp(q * w)
    return np.log(special.gammaincc(a, x) if q > 0 else special.gammainc(a, x))


def log_density(t, mu, sigma, q):
    w = (np.log(t) - mu) / sigma
    a = 1 / q**2
    return np.log(abs(q)) + a * np.log(a) - special.gammaln(a) + a * (q * w - np.exp(q * w)) - np.log(sigma * t)


def optimum(data):
    def minus(theta):
        mu, log_sigma, q = theta
        sigma = np.exp(log_sigma)
        q = q if abs(q) > 1e-3 else 1e-3
        total = 0.0
        for entry, lower, upper, weight in data:
            given = log_survival(entry, mu, sigma, q) if entry > 0 else 0.0
            if upper is None:
                part = log_survival(lower, mu, sigma, q)
            elif upper == lower:
                part = log_density(upper, mu, sigma, q)
            else:
                sound = np.exp(log_survival(lower, mu, sigma, q)) if lower > 0 else 1.0
                part = np.log(sound - np.exp(log_survival(upper, mu, sigma, q)))
            total += weight * (part - given)
        return -total if np.isfinite(total) else 1e10

    best = None
    for q in [0.3, 1.0, -0.5]:
        start = [np.mean([np.log((r[1] + (r[2] or 1.2 * r[1])) / 2) for r in data]), -0.7, q]
        for _ in range(6):
            found = optimize.minimize(minus, start, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-13, "maxiter": 4000, "maxfev": 4000})
            start = found.x
        if best is None or found.fun < best.fun:
            best = found
    return {"mu": best.x[0], "sigma": float(np.exp(best.x[1])), "q": best.x[2], "logLikelihood": -best.fun}


mixed = [tuple(r) for r in json.load(open("mixed-censoring.json"))["rows"]]
cases = {c["name"]: c for c in json.load(open("aft-fits.json"))}
plain = lambda name: [(0, r.get("lower") or 0, r.get("upper"), r.get("weight") or 1) for r in cases[name]["rows"]]
fits = [{"name": "mixed-censoring", **optimum(mixed)}]
fits += [{"name": name, **optimum(plain(name))} for name in ["ovarian", "cracks", "lung"]]
json.dump({"source": "make-generalised-gamma.py: mpmath 1.3.0, scipy 1.17.1", "tails": rows, "fits": fits}, open("generalised-gamma.json", "w"), indent=0)
