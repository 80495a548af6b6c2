import subprocess
import sys

LAYER = ("numpy.testing", "numpy.f2py", "scipy._lib._array_api", "scipy.special._orthogonal")
SAME = "ours.stdtrit is scipy.special.stdtrit, scipy.special._ufuncs.stdtr is ours.stdtr"


def in_a_fresh_process(code: str) -> str:
    """What Python prints that has imported nothing yet."""
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip()


def test_the_functions_come_without_the_array_layer_and_are_scipy_s_own() -> None:
    """A verdict pays for what it uses; SciPy's package still works as a whole afterwards, and holds the same objects."""
    code = (
        f"import sys, trials.statistics.special as ours; print([m for m in {LAYER} if m in sys.modules])\n"
        "import scipy.stats, scipy.special\n"
        f"print({SAME}, round(scipy.stats.t.ppf(0.975, 7), 4))"
    )
    assert in_a_fresh_process(code) == "[]\nTrue True 2.3646"


def test_they_are_scipy_s_own_where_it_is_imported_first_and_where_scipy_keeps_them_elsewhere() -> None:
    """The other way round they are those that are there; without that module they are found all the same."""
    code = (
        f"import scipy.special, trials.statistics.special as ours\nprint({SAME})\n"
        "import sys, importlib\n"
        "real = importlib.import_module\n"
        "def elsewhere(name, package=None):\n"
        "    if name.endswith('._ufuncs'): raise ImportError(name)\n"
        "    return real(name, package)\n"
        "importlib.import_module = elsewhere\n"
        "del sys.modules['scipy.special']\n"
        "again = importlib.reload(ours)\n"
        "print(again.stdtr is sys.modules['scipy.special'].stdtr)"
    )
    assert in_a_fresh_process(code) == "True True\nTrue"
