# Reference values of a monotone cubic, from SciPy's scipy.interpolate.PchipInterpolator.
# Run in this folder: /usr/bin/python3 pchip.py > pchip.txt
# The knots are invented: drops in mm along a bed, some of them level, some turning back.
import scipy
from scipy.interpolate import PchipInterpolator

CASES = {
    "even": ([0, 100, 200, 300, 400, 500, 600], [0, 0.012, 0.055, 0.061, 0.030, 0.004, 0]),
    "uneven": ([-80, -20, 5, 60, 200, 210, 450, 900], [0, 0.003, 0.020, 0.081, 0.081, 0.070, 0.012, 0]),
    "turning": ([0, 10, 30, 35, 80, 100, 130], [0.02, 0.05, 0.01, 0.04, 0.03, 0.03, 0.06]),
    "steep start": ([0, 10, 200, 210, 400], [0, 0.06, 0.061, 0.005, 0]),
}

print("# Source: scipy.interpolate.PchipInterpolator, SciPy %s; written by: /usr/bin/python3 pchip.py > pchip.txt" % scipy.__version__)
print("# Invented knots. Lines: 'case NAME'; 'knot POSITION VALUE SLOPE'; 'point PIECE POSITION VALUE' with pieces counted from 0.")
for name, (x, y) in CASES.items():
    p = PchipInterpolator(x, y)
    print("case", name.replace(" ", "-"))
    for a, b in zip(x, y):
        print("knot %r %r %r" % (float(a), float(b), float(p(a, 1))))
    for i in range(len(x) - 1):
        for t in (0.1, 0.35, 0.5, 0.8):
            z = x[i] + t * (x[i + 1] - x[i])
            print("point %d %r %r" % (i, float(z), float(p(z))))
