"""The special functions of SciPy, read in one place and without the array layer of its package.

`import scipy.special` first starts numpy.testing, numpy.f2py and a layer for other array libraries: half the
time of a verdict. The compiled functions stand in a module of their own and need none of it: that module is loaded with
its package held open and unrun. Where SciPy keeps them elsewhere, the package is imported as usual.

>>> import scipy.special
>>> stdtrit is scipy.special.stdtrit
True
>>> round(float(stdtrit(7, 0.975)), 4)
2.3646
"""

import sys
from importlib import import_module
from importlib.util import find_spec, module_from_spec
from types import ModuleType

PACKAGE = "scipy.special"


def _functions() -> ModuleType:
    spec = find_spec(PACKAGE)
    if PACKAGE in sys.modules or spec is None:
        return import_module(PACKAGE)
    sys.modules[PACKAGE] = module_from_spec(spec)
    try:
        return import_module(f"{PACKAGE}._ufuncs")
    except ImportError:
        pass
    finally:
        del sys.modules[PACKAGE]
    return import_module(PACKAGE)


_found = _functions()
bdtrc = _found.bdtrc
betainccinv = _found.betainccinv
betaincinv = _found.betaincinv
chdtr = _found.chdtr
chdtrc = _found.chdtrc
chdtri = _found.chdtri
gammainccinv = _found.gammainccinv
gammaincinv = _found.gammaincinv
nctdtr = _found.nctdtr
ndtr = _found.ndtr
ndtri = _found.ndtri
stdtr = _found.stdtr
stdtrit = _found.stdtrit
