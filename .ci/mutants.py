"""Mutation testing: change one thing in a module of sim/, and see whether its tests notice.

    .venv/bin/python -m pip install --target .mutants cosmic-ray==8.7.0 mutmut==3.8.1
    nice .venv/bin/python .ci/mutants.py motion devices/pin     (every module of TESTS if none is named)

The changes are cosmic-ray's and mutmut's, each once; one that leaves what runs the same (an annotation) is not counted.
No file is written: a mutant lives in a child process, where its import is answered with the changed source. One that
outlives its own tests meets those of whole lifts; what outlives these too is printed.
"""

import ast
import difflib
import gc
import os
import resource
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from importlib.machinery import ModuleSpec, SourceFileLoader
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TESTS = {  # of a module; each a file tests/sim/test_*.py
    "motion": ["motion"],
    "loads": ["loads"],
    "pump": ["pump"],
    "stops": ["stops"],
    "series": ["series", "measures", "measures_drops"],
    "record": ["record", "series"],
    **{
        f"devices/{kind}": ["devices", "device_pace"]
        for kind in ("chain", "collar", "crib", "pin", "protocol", "strap")
    },
}
LIFTS = [
    "lift", "lift_sides", "lift_catchers", "lift_devices", "resets", "mishaps", "measures", "measures_drops",
    "check_cribs",
]  # fmt: skip
PYTEST = ["-x", "-q", "-p", "no:cacheprovider", "-p", "_hypothesis_pytestplugin", "--assert=plain", "--tb=no"]
SECONDS, BYTES = 8, 10**9  # of a child's own time and memory: a mutant that never ends is noticed


def same(source: str) -> str:
    """What runs: the tree without its annotations."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        for field in {"annotation", "returns"} & set(node._fields):
            setattr(node, field, ast.Constant(None))
    return ast.dump(tree)


def mutants_of(source: str) -> list[str]:
    """Every changed source, each once."""
    found = {same(source): source}
    for mutant in [*by_cosmic_ray(source), *by_mutmut(source)]:
        with suppress(SyntaxError):
            found.setdefault(same(mutant), mutant)
    return list(found.values())[1:]


def by_cosmic_ray(source: str) -> Iterator[str]:
    """Its operators; but of `a + b` it also makes `a << b` and `a & b`, which no float survives."""
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.mutating import mutate_code
    from cosmic_ray.plugins import get_operator, operator_names

    bits = ("RShift", "LShift", "BitOr", "BitAnd", "BitXor")
    for name in operator_names():
        before, _, after = name.rpartition("_")
        if get_operator(name).arguments() or (after in bits and not before.endswith(bits)):
            continue
        operator = get_operator(name)()
        for k in range(sum(len(list(operator.mutation_positions(node))) for node in ast_nodes(get_ast(source)))):
            yield mutate_code(source, operator, k) or source


def by_mutmut(source: str) -> Iterator[str]:
    """Its operators: arguments left out or None, texts, defaults."""
    from libcst import parse_module
    from libcst.metadata import MetadataWrapper
    from mutmut.mutation.file_mutation import MutationVisitor
    from mutmut.mutation.mutators import mutation_operators
    from mutmut.mutation.pragma_handling import IgnoredCode

    visitor = MutationVisitor(mutation_operators, IgnoredCode(set(), set(), set()))
    module = MetadataWrapper(parse_module(source)).visit(visitor)
    for mutation in visitor.mutations:
        yield module.deep_replace(mutation.original_node, mutation.mutated_node).code


def notice(module: str, source: str, tests: list[str]) -> bool:
    """Whether these tests fail with the module changed so."""
    child = os.fork()
    if child:
        return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) != 0
    code = 1
    try:
        signal.alarm(100 * SECONDS)  # one that sleeps
        resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
        resource.setrlimit(resource.RLIMIT_DATA, (BYTES, BYTES))
        name, path = "sim." + module.replace("/", "."), str(ROOT / "sim" / f"{module}.py")

        class Changed(SourceFileLoader):
            def get_code(self, fullname):
                return compile(source, path, "exec", dont_inherit=True)

        class Finder:
            @staticmethod
            def find_spec(fullname, where=None, target=None):
                return ModuleSpec(name, Changed(name, path), origin=path) if fullname == name else None

        sys.meta_path.insert(0, Finder)
        code = run(tests)
    finally:
        os._exit(code)


def run(tests: list[str]) -> int:
    """Pytest's exit code."""
    import pytest

    kept = os.dup(1), os.dup(2)
    silence = os.open(os.devnull, os.O_WRONLY)
    os.dup2(silence, 1), os.dup2(silence, 2)
    code = int(pytest.main([*PYTEST, *(f"tests/sim/test_{name}.py" for name in tests)]))
    os.dup2(kept[0], 1), os.dup2(kept[1], 2)
    return code


def warm_up() -> None:
    """Once, what each child would do again: the start of the libraries, of pytest and of hypothesis."""
    import hypothesis

    phases = [phase for phase in hypothesis.Phase if phase.name not in ("shrink", "explain")]
    hypothesis.settings.register_profile(
        "mutants", deadline=None, max_examples=30, derandomize=True, database=None, phases=phases
    )
    os.environ |= {"HYPOTHESIS_PROFILE": "mutants", "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1"}
    if run(["motion", "devices", *LIFTS]):
        sys.exit("the tests fail as they are")
    for module in [m for m in sys.modules if m.split(".")[0] in ("sim", "tests", "reports")]:
        del sys.modules[module]
    gc.collect()
    gc.freeze()


def main() -> None:
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    sys.path.append(str(ROOT / ".mutants"))  # last, so that our own versions win
    warm_up()
    for module in sys.argv[1:] or TESTS:
        start, source = time.monotonic(), (ROOT / "sim" / f"{module}.py").read_text()
        stages = [TESTS[module], LIFTS]
        if any(notice(module, source, tests) for tests in stages):
            sys.exit(f"{module}: the tests fail as they are")
        mutants, noticed = mutants_of(source), [0, 0]
        for mutant in mutants:
            stage = next((k for k, tests in enumerate(stages) if notice(module, mutant, tests)), None)
            if stage is None:
                diff = list(difflib.unified_diff(source.splitlines(), mutant.splitlines(), lineterm="", n=0))
                print("\n".join(diff[2:]), flush=True)
            else:
                noticed[stage] += 1
        left, took = len(mutants) - sum(noticed), time.monotonic() - start
        print(f"{module}: {len(mutants)} mutants, {noticed[0]} noticed by its own tests, {noticed[1]} by whole lifts, "
              f"{left} left; {took:.0f} s", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
