"""Compiles what a graphics card runs, without one, and prints how long each text for the card is.

Where no card is there to ask, numba-cuda is told of one. The compiler's library for C++ is not needed: not asked for.
"""

from importlib import import_module
from types import SimpleNamespace

import numpy as np
from numba import types
from numba.np.numpy_support import from_dtype

TOLD = (9, 0)
import_module("numba.cuda.dispatcher").get_current_device = lambda: SimpleNamespace(compute_capability=TOLD)
import_module("numba.cuda.cudadrv.nvrtc").get_supported_ccs = lambda: (TOLD,)
import_module("numba.cuda.cuda_paths")._get_nvrtc_path = lambda: None

from bottlewright.flight.drawing import MOVE  # noqa: E402
from bottlewright.flight.gpu_kernel import draw_plans, fly_plans, line_up  # noqa: E402
from bottlewright.flight.parameters import PARAMETERS  # noqa: E402
from bottlewright.flight.summary import SUMMARY  # noqa: E402


def table(of, dimensions=1):
    return types.Array(from_dtype(np.dtype(of)), dimensions, "C")


PLANS, NUMBERS, ROWS = table(PARAMETERS), table(np.float64), table(np.float64, 2)
ASKED = {
    fly_plans: (PLANS, table(np.int64), table(SUMMARY), table(SUMMARY), ROWS, types.boolean),
    line_up: (PLANS, table(np.int64), table(np.int64)),
    draw_plans: (ROWS, PLANS, NUMBERS, types.int64, types.int64, table(MOVE), table(np.int64, 2), table(np.int64),
                 ROWS),
}
for kernel, arguments in ASKED.items():
    text, _ = import_module("numba.cuda").compile_ptx(kernel.py_func, arguments, cc=TOLD)
    print(kernel.py_func.__name__, len(text), text.count(".entry"), text.count("fma.rn.f64"),
          text.count("bar.warp.sync") + text.count("bar.sync") + text.count("vote.sync"))
