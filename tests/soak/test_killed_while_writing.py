"""A plan's folder is whole after a kill at any moment: the old one or the new one, never a mixture."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

pytestmark = pytest.mark.soak

WRITER = """
import sys
from pathlib import Path
from mullbed.reports.plan_folder import OUTPUTS, write_folder
folder = Path(sys.argv[1])
print("ready", flush=True)
for round in range(1, 100_000):
    write_folder(folder, {name: f"{round}\\n" * 2000 for name in OUTPUTS})
"""


def test_the_outputs_are_whole_after_a_kill_at_any_moment(soak_times: Callable[[int], int], tmp_path: Path) -> None:
    from mullbed.reports.plan_folder import OUTPUTS, write_folder

    chance = np.random.default_rng(20260103)
    folder = tmp_path / "out"
    write_folder(folder, dict.fromkeys(OUTPUTS, "0\n" * 2000))
    lost = 0
    for _ in range(soak_times(300)):
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(folder)], stdout=subprocess.PIPE)
        assert writer.stdout is not None
        writer.stdout.readline()
        time.sleep(float(chance.uniform(0.0, 0.08)))
        os.kill(writer.pid, signal.SIGKILL)
        writer.wait()
        writer.stdout.close()
        if not folder.exists():  # killed between the two renames: the old folder lies whole beside it
            lost += 1
            kept = [entry / "out" for entry in tmp_path.glob(".out-old-*") if (entry / "out").is_dir()]
            assert kept, "neither the old nor the new outputs are there"
            kept[0].rename(folder)
        texts = {(folder / name).read_text() for name in OUTPUTS}
        assert len(texts) == 1, "outputs of two plans are mixed"
        (text,) = texts
        assert len(set(text.splitlines())) == 1
        assert len(text.splitlines()) == 2000
    assert lost <= soak_times(300) // 4 + 1
