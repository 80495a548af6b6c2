import subprocess
import sys

from tests.tables import every

LAYER = ("numpy.testing", "numpy.f2py", "scipy._lib._array_api", "scipy.special._orthogonal")


def in_a_fresh_process(code: str) -> str:
    """What Python prints that has imported nothing yet."""
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip()


def test_the_functions_come_without_the_array_layer() -> None:
    """A verdict pays for the functions it uses, and not for what SciPy's package starts beside them."""
    code = f"import sys, trials.statistics.special; print([m for m in {LAYER} if m in sys.modules])"
    assert in_a_fresh_process(code) == "[]"


@every("first", ["trials.statistics.special", "scipy.special"])
def test_they_are_scipy_s_own_whichever_is_imported_first(first: str) -> None:
    """SciPy's package still works as a whole, and holds the same objects."""
    code = (
        f"import {first}, scipy.stats, scipy.special, trials.statistics.special as ours\n"
        "print(ours.stdtrit is scipy.special.stdtrit, scipy.special._ufuncs.stdtr is ours.stdtr,"
        " round(scipy.stats.t.ppf(0.975, 7), 4))"
    )
    assert in_a_fresh_process(code) == "True True 2.3646"


def test_where_scipy_keeps_them_elsewhere_its_package_is_imported() -> None:
    """Without that module the functions are found all the same."""
    code = (
        "import sys, importlib\n"
        "real = importlib.import_module\n"
        "def elsewhere(name, package=None):\n"
        "    if name.endswith('._ufuncs'): raise ImportError(name)\n"
        "    return real(name, package)\n"
        "importlib.import_module = elsewhere\n"
        "import trials.statistics.special as ours, scipy.special\n"
        "print(ours.stdtr is scipy.special.stdtr)"
    )
    assert in_a_fresh_process(code) == "True"
