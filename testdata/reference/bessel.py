"""Chebyshev coefficients of sqrt(z) e^z K_n(z) in s = 4/z - 1, for z from 2 up.

python3 bessel.py      (mpmath 1.2.1; printed into audit/uncertainty/bessel.go)

c_k = 2/N sum f(cos th_j) cos(k th_j), th_j = pi (j + 1/2)/N, N = 60 (Abramowitz
and Stegun 22.3.15 with 25.4.38); the first is halved in use.
"""
import mpmath as mp

mp.mp.dps = 40
N = 60
for n in (0, 1):
    def f(s):
        z = 4 / (s + 1)
        return mp.sqrt(z) * mp.exp(z) * mp.besselk(n, z)
    angles = [mp.pi * (j + mp.mpf(1) / 2) / N for j in range(N)]
    values = [f(mp.cos(a)) for a in angles]
    for k in range(18):
        print(n, k, mp.nstr(2 * mp.fsum(v * mp.cos(k * a) for v, a in zip(values, angles)) / N, 19))
