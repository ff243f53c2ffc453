"""The base pack is the same for every test: it is read once, by the program's own reader, and then remembered.

Packs that a test writes are read anew each time, and so is everything that `check_packs` is asked for.
"""

from assistant.rules import pack

_read, _known = pack.load_packs, {}


def _load_or_know(folders=()):
    if [str(folder) for folder in folders] not in ([], [str(pack.base_folder())]):
        return _read(folders)
    if "base" not in _known:
        _known["base"] = _read(())
    return _known["base"]


pack.load_packs = _load_or_know
