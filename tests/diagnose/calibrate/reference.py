"""Makes reference.csv: the posteriors of two worked cases, by programs that share nothing with ours.

pip install numpy scipy scikit-learn emcee; python reference.py > reference.csv

Four devices, each heard by the panel:
level = forecast - (offset - 6) - slopes.(scales - 1) - own - rest,
offset ~ N(6, 4), scales ~ N(1, 0.4), N(1, 0.5) with correlation 0.8, own ~ N(0, 3),
rest ~ N(0, sqrt(4^2 + 5^2)).

Case "normal": one reading of each of the first three, with normal errors. Gaussian process regression
with a linear kernel over the variables.

Case "mixed": levels (one of them wild), bars, check-ins heard and missed, as our likelihoods are
written down: sampled with an ensemble Markov chain.
"""

import sys

import emcee
import numpy as np
import scipy
import scipy.stats
import sklearn
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import DotProduct

NAMES = ["offset", "scale-a", "scale-b"]
NAMES += [f"own-{i}" for i in range(4)] + [f"level-{i}" for i in range(4)]
FORECAST = np.array([-80.0, -92.0, -99.0, -100.0])
SLOPES = np.array([[9.0, 0.0], [9.0, 6.0], [18.0, 3.0], [9.0, 12.0]])
REST = np.hypot(4.0, 5.0)

# Free variables: offset, two scales, four own losses, four rests.
MEAN = np.array([6.0, 1.0, 1.0] + 8 * [0.0])
COV = np.diag([16.0, 0.16, 0.25] + 4 * [9.0] + 4 * [REST**2])
COV[1, 2] = COV[2, 1] = 0.8 * 0.4 * 0.5
ROOT = np.linalg.cholesky(COV)
# What each named variable is of the free ones, about its mean.
TO = np.zeros((11, 11))
TO[:7, :7] = np.eye(7)
for i in range(4):
    TO[7 + i, 0] = -1.0
    TO[7 + i, 1:3] = -SLOPES[i]
    TO[7 + i, 3 + i] = -1.0
    TO[7 + i, 7 + i] = -1.0
AT = np.concatenate([MEAN[:7], FORECAST])


def normal():
    features = TO @ ROOT
    read = np.array([-88.0, -95.0, -110.0])
    noise = np.array([3.0, 4.0, 2.0])
    process = GaussianProcessRegressor(
        DotProduct(sigma_0=0.0, sigma_0_bounds="fixed"), alpha=noise**2, optimizer=None
    )
    process.fit(features[7:10], read - FORECAST[:3])
    mean, sigma = process.predict(features, return_std=True)
    return mean + AT, sigma


# The receiver of the link us-345 in a residential neighbourhood needs -103 dBm; K = 6 dB.
NEEDED = -103.0
K = 10**0.6


def missed(margin):
    return scipy.stats.ncx2.cdf(2 * (1 + K) * 10 ** (-margin / 10), 2, 2 * K)


def fading():
    x = np.linspace(-80.0, 20.0, 2_000_001)
    below = missed(-x)
    mean = 20.0 - np.trapezoid(below, x)
    square = 400.0 - np.trapezoid(2 * x * below, x)
    return mean, np.sqrt(square - mean**2)


FADE_MEAN, FADE_SIGMA = fading()
SIGMA = np.hypot(FADE_SIGMA, 2.0)
MARGINS = np.linspace(-100.0, 150.0, 50_001)
MISSED = missed(MARGINS)


def log_likelihood(levels):
    def read(at, level):
        density = scipy.stats.norm.pdf(at, level + FADE_MEAN, SIGMA)
        return np.log(0.98 * density + 0.02 / 120.0)

    def bars(low, high, level):
        z = lambda end: (end - level - FADE_MEAN) / SIGMA
        inside = scipy.stats.norm.cdf(z(high)) - scipy.stats.norm.cdf(z(low))
        return np.log(0.98 * inside + 0.02 * (high - low) / 120.0)

    miss = np.interp(levels[:, 2] - NEEDED, MARGINS, MISSED)
    miss = 1.0 - (1.0 - miss) * (1.0 - 0.002)
    all = sum(read(at, levels[:, 0]) for at in (-88.0, -86.0, -91.0, -40.0))
    all += 2 * bars(-110.0, -100.0, levels[:, 1])
    all += 3 * np.log(np.maximum(1.0 - miss, 1e-12)) + 9 * np.log(np.maximum(miss, 1e-12))
    return all


def mixed():
    def log_density(free):
        variables = AT + free @ (TO @ ROOT).T
        return -0.5 * np.sum(free**2, axis=1) + log_likelihood(variables[:, 7:])

    random = np.random.RandomState(1)
    walkers, steps = 128, 40_000
    sampler = emcee.EnsembleSampler(walkers, 11, log_density, vectorize=True)
    sampler._random = random
    start = random.normal(size=(walkers, 11)) * 0.5
    sampler.run_mcmc(start, steps)
    tau = sampler.get_autocorr_time()
    free = sampler.get_chain(discard=2_000, flat=True)
    variables = AT + free @ (TO @ ROOT).T
    effective = len(free) / tau.max()
    return variables.mean(axis=0), variables.std(axis=0), effective


print(f"# Python {sys.version.split()[0]}, numpy {np.__version__}, scipy {scipy.__version__},")
print(f"# scikit-learn {sklearn.__version__} (GaussianProcessRegressor; case normal),")
print(f"# emcee {emcee.__version__} (EnsembleSampler; case mixed). By reference.py beside this file.")
mean, sigma = normal()
sampled, spread, effective = mixed()
print(f"# Fading: mean {FADE_MEAN:.4f} dB, standard deviation {FADE_SIGMA:.4f} dB.")
print(f"# Samples of the mixed case that are worth independent ones: {effective:.0f}.")
print("case,variable,mean,sigma")
for name, m, s in zip(NAMES, mean, sigma):
    print(f"normal,{name},{m:.9f},{s:.9f}")
for name, m, s in zip(NAMES, sampled, spread):
    print(f"mixed,{name},{m:.3f},{s:.3f}")
