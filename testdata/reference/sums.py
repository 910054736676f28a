"""Half widths of central intervals of sums, by convolution in x.

python3 sums.py > sums.csv      (mpmath 1.2.1, Python 3.11; about ten minutes)

Two and three terms: the distribution of one term averaged over the densities
of the others by adaptive tanh-sinh quadrature; no characteristic function.
Rectangular terms only: the closed form of the piecewise polynomial.
More terms: Bessel and exponential functions of mpmath in the inversion
integral, cut between zeros of the sine.
"""
import itertools
import mpmath as mp

mp.mp.dps = 22


def cdf(term):
    shape, a, nu = term
    if shape == "normal":
        return lambda x: mp.ncdf(x / a)
    if shape == "rectangular":
        return lambda x: min(mp.mpf(1), max(mp.mpf(0), (1 + x / a) / 2))
    if shape == "triangular":
        def tri(x):
            x = x / a
            if abs(x) >= 1:
                return mp.mpf(x > 0)
            return (1 + x) ** 2 / 2 if x < 0 else 1 - (1 - x) ** 2 / 2
        return tri
    if shape == "arcsine":
        return lambda x: mp.mpf(x > 0) if abs(x) >= a else mp.mpf(1) / 2 + mp.asin(x / a) / mp.pi

    def t(x):
        x = x / a
        if nu == 1:
            return mp.mpf(1) / 2 + mp.atan(x) / mp.pi
        if nu == 2:
            return (1 + x / mp.sqrt(2 + x * x)) / 2
        tail = mp.betainc(mp.mpf(nu) / 2, 0.5, 0, nu / (nu + x * x), regularized=True) / 2
        return 1 - tail if x > 0 else tail
    return t


def average(term, f, breaks):
    """E f(X), X the term; f has kinks or steps near the breaks."""
    shape, a, nu = term
    if shape in ("rectangular", "triangular", "arcsine"):
        inside = sorted({b / a for b in breaks if abs(b) < a} | {mp.mpf(-1), mp.mpf(0), mp.mpf(1)})
        if shape == "rectangular":
            return mp.quad(lambda v: f(a * v), inside) / 2
        if shape == "triangular":
            return mp.quad(lambda v: (1 - abs(v)) * f(a * v), inside)
        return mp.quad(lambda v: f(a * mp.sin(v)), [mp.asin(v) for v in inside]) / mp.pi
    if shape == "normal":
        dens = lambda x: mp.npdf(x / a) / a
        ends = [-12 * a, 12 * a]
    else:
        c = mp.gamma(mp.mpf(nu + 1) / 2) / mp.gamma(mp.mpf(nu) / 2) / mp.sqrt(nu * mp.pi) / a
        dens = lambda x: c * (1 + (x / a) ** 2 / nu) ** (-mp.mpf(nu + 1) / 2)
        ends = [-mp.inf, mp.inf]
    mid = sorted({b for b in breaks if ends[0] < b < ends[1]} | {-4 * a, -a, mp.mpf(0), a, 4 * a})
    return mp.quad(lambda x: dens(x) * f(x), [ends[0]] + mid + [ends[1]])


def width(term):
    return term[1]


def near(x, others):
    """Where the distribution of the others changes around x."""
    out = []
    for signs in itertools.product((-1, 1), repeat=len(others)):
        edge = x + sum(s * width(t) for s, t in zip(signs, others))
        out += [edge]
    for k in (-30, -5, 5, 30):
        out += [x + k * sum(width(t) for t in others)]
    return out + [x]


def beside_rectangle(a, term, x):
    """Rectangular with half width a, and normal or t with 2: closed form."""
    shape, s, nu = term
    if shape == "normal":
        g = lambda y: y * mp.ncdf(y / s) + s * mp.npdf(y / s)
    else:
        g = lambda y: (y + mp.sqrt(y * y + 2 * s * s)) / 2
    return (g(x + a) - g(x - a)) / (2 * a)


def below(terms, x):
    if len(terms) == 1:
        return cdf(terms[0])(x)
    if len(terms) == 2 and terms[0][0] == "rectangular" and (terms[1][0] == "normal" or terms[1][2] == 2):
        return beside_rectangle(terms[0][1], terms[1], x)
    return average(terms[0], lambda y: below(terms[1:], x - y), near(x, terms[1:]))


def rectangles(terms, x):
    a = [t[1] for t in terms]
    n, total = len(a), mp.mpf(0)
    for signs in itertools.product((-1, 1), repeat=n):
        y = x + sum(s * v for s, v in zip(signs, a))
        if y > 0:
            total += mp.fprod(signs) * y ** n
    return total / (mp.factorial(n) * 2 ** n * mp.fprod(a))


def phi(term, t):
    shape, a, nu = term
    z = a * t
    if shape == "normal":
        return mp.exp(-z * z / 2)
    if shape == "rectangular":
        return mp.sin(z) / z
    if shape == "triangular":
        return (mp.sin(z / 2) / (z / 2)) ** 2
    if shape == "arcsine":
        return mp.besselj(0, z)
    z, k = z * mp.sqrt(nu), mp.mpf(nu) / 2
    return z ** k * mp.besselk(k, z) / (2 ** (k - 1) * mp.gamma(k))


def inverted(terms, x):
    f = lambda t: mp.sin(x * t) / t * mp.fprod(phi(s, t) for s in terms)
    start = mp.mpf("0.1") / x
    cuts = [start] + [k * mp.pi / x for k in range(1, 31)]  # beyond, less than 1e-14 is left
    # tanh-sinh where t rows with an even number have a logarithm at zero
    value = mp.quad(f, [0, start]) + mp.quad(f, cuts, method="gauss-legendre", maxdegree=4)
    return mp.mpf(1) / 2 + value / mp.pi


def half_width(terms, confidence, start, method):
    goal = (1 + mp.mpf(confidence)) / 2
    return mp.findroot(lambda x: method(terms, x) - goal, (start, start * mp.mpf("1.0005")), tol=1e-28, solver="secant")


r3 = mp.sqrt(3)
N, R, T, A, D = "normal", "rectangular", "t", "arcsine", "triangular"
m = mp.mpf
cases = [
    ("JCGM 101 9.2.3 four rectangular rows", [(R, r3, 0)] * 4, "0.95", "3.88", rectangles),
    ("JCGM 101 9.2.4 fourth row wide", [(R, 10 * r3, 0)] + [(R, r3, 0)] * 3, "0.95", "17", rectangles),
    ("two t rows with 2", [(T, m(1), 2)] * 2, "0.95", "6", below),
    ("t with 1 and t with 3", [(T, m("0.5"), 3), (T, m(1), 1)], "0.95", "12.8", below),
    ("t with 1 and t with 3 far out", [(T, m("0.5"), 3), (T, m(1), 1)], "0.999", "640", below),
    ("t with 2 and rectangular", [(R, m(1), 0), (T, m("0.3"), 2)], "0.95", "1.6", below),
    ("t with 1 and rectangular", [(R, m(1), 0), (T, m("0.3"), 1)], "0.99", "20", below),
    ("tiny t with 4 beside rectangular", [(R, m(1), 0), (T, m("0.001"), 4)], "0.95", "0.95", below),
    ("tiny t with 1 beside rectangular", [(R, m(1), 0), (T, m("0.0001"), 1)], "0.999", "0.999", below),
    ("tiny t with 2 beside triangular", [(D, m(1), 0), (T, m("0.001"), 2)], "0.99", "0.9", below),
    ("tiny t with 2 beside arcsine", [(A, m(1), 0), (T, m("0.001"), 2)], "0.95", "0.997", below),
    ("arcsine and normal", [(A, m(1), 0), (N, m("0.3"), 0)], "0.95", "1.3", below),
    ("arcsine and tiny normal", [(A, m(1), 0), (N, m("0.001"), 0)], "0.999", "0.9995", below),
    ("arcsine and t with 3", [(A, m(1), 0), (T, m("0.2"), 3)], "0.95", "1.3", below),
    ("arcsine and rectangular", [(A, m(1), 0), (R, m("0.9"), 0)], "0.95", "1.62", below),
    ("arcsine beside wide rectangular", [(R, m(1), 0), (A, m("0.01"), 0)], "0.8", "0.8", below),
    ("triangular and t with 5", [(D, m("0.4"), 0), (T, m("0.2"), 5)], "0.95", "0.6", below),
    ("normal and t with 6", [(N, m(1), 0), (T, m(1), 6)], "0.95", "3", below),
    ("rectangular and t with 50", [(R, m(1), 0), (T, m("0.5"), 50)], "0.95", "1.3", below),
    ("rectangular and t with 499", [(R, m(1), 0), (T, m("0.5"), 499)], "0.95", "1.3", below),
    ("rectangular and t with 501", [(R, m(1), 0), (T, m("0.5"), 501)], "0.95", "1.3", below),
    ("two rectangular and t with 2", [(R, m(1), 0), (R, m("0.7"), 0), (T, m("0.1"), 2)], "0.95", "1.394", below),
    ("arcsine, rectangular and normal", [(A, m(1), 0), (R, m("0.5"), 0), (N, m("0.1"), 0)], "0.95", "1.3", below),
    ("a usual budget", [(T, m("0.05"), 4), (T, m("0.04"), 6), (R, m("0.1"), 0), (A, m("0.1"), 0), (R, m("0.05"), 0),
                        (R, m("0.05"), 0), (R, m("0.1"), 0), (D, m("0.05"), 0)], "0.95", "0.2869", inverted),
    ("a budget with two short scatters", [(T, m("0.05"), 1), (T, m("0.08"), 2), (R, m("0.1"), 0), (A, m("0.2"), 0),
                                          (D, m("0.05"), 0)], "0.9", "0.45", inverted),
]

print("# source: computed by sums.py beside this file with mpmath; half width of the central interval")
print("# terms: shape:scale:dof, scale as in the package uncertainty; sqrt(3) written out")
print("name,terms,confidence,half_width")
for name, terms, confidence, start, method in cases:
    text = " ".join("%s:%s:%d" % (s, mp.nstr(a, 18), nu) for s, a, nu in terms)
    print("%s,%s,%s,%s" % (name.replace(",", " and"), text, confidence,
                           mp.nstr(half_width(terms, confidence, m(start), method), 14)), flush=True)
