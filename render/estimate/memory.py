"""A maker's pace as it is kept among the settings."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace

from render.errors import SettingError
from render.estimate.pace import Job, Pace, Record, check_record, learn

Table = Mapping[str, object]


@dataclass(frozen=True)
class Memory:
    """The pace in force and how it came about.

    Attributes
    ----------
    pace
        What is reckoned with.
    began
        The pace before the first record.
    records
        Finished pieces, the oldest first.
    """

    pace: Pace
    began: Pace
    records: tuple[Record, ...] = ()

    def with_piece(self, record: Record) -> "Memory":
        """Return what is known once a piece is finished."""
        check_record(record, self.pace)
        began = self.began if self.records else self.pace
        records = (*self.records, record)
        return Memory(learn(records, began), began, records)

    def without_last(self) -> "Memory":
        """Return what was known before the last piece.

        Raises
        ------
        SettingError
            Where no piece is on record.
        """
        if not self.records:
            raise SettingError("nothing was learned yet, so there is nothing to undo")
        records = self.records[:-1]
        return replace(self, pace=learn(records, self.began), records=records)


def recall(settings: Table) -> Memory:
    """Read the pace from the settings; where there is none it is the usual one.

    Raises
    ------
    SettingError
        Where a figure is no figure; the message names it.
    """
    table = _table(settings.get("pace", {}), "pace")
    records = table.get("records", [])
    if not isinstance(records, list):
        raise SettingError('in the settings, "pace.records" must be a list')
    return Memory(
        _pace(table.get("current", {}), "pace.current"),
        _pace(table.get("began", {}), "pace.began"),
        tuple(_record(entry, f"pace.records[{n}]") for n, entry in enumerate(records)),
    )


def note(settings: Table, memory: Memory) -> dict[str, object]:
    """Return the settings with a pace in them; all else stays as it is."""
    table = {
        "current": asdict(memory.pace),
        "began": asdict(memory.began),
        "records": [asdict(record) for record in memory.records],
    }
    return {**settings, "pace": table}


def _pace(entry: object, name: str) -> Pace:
    table = _table(entry, name)
    usual = Pace()
    spread = table.get("spread", list(usual.spread))
    if not isinstance(spread, list) or len(spread) != 2:
        raise SettingError(f'in the settings, "{name}.spread" must be a list of two numbers')
    low, high = (_number(value, f"{name}.spread") for value in spread)
    return Pace(
        _numbers(table.get("stitches_per_hour", {}), f"{name}.stitches_per_hour"),
        _number(table.get("minutes_per_pair", usual.minutes_per_pair), f"{name}.minutes_per_pair"),
        _number(table.get("others", usual.others), f"{name}.others"),
        (low, high),
        int(_number(table.get("pieces", 0), f"{name}.pieces", least=0)),
    )


def _record(entry: object, name: str) -> Record:
    table = _table(entry, name)
    job = _table(table.get("job"), f"{name}.job")
    return Record(
        str(table.get("piece", "")),
        Job(
            _numbers(job.get("stitches"), f"{name}.job.stitches"),
            _numbers(job.get("usual_minutes"), f"{name}.job.usual_minutes"),
            _number(job.get("pairs"), f"{name}.job.pairs", least=0),
        ),
        _number(table.get("minutes"), f"{name}.minutes"),
    )


def _table(entry: object, name: str) -> Table:
    if not isinstance(entry, dict):
        raise SettingError(f'in the settings, "{name}" must be an object')
    return entry


def _numbers(entry: object, name: str) -> dict[str, float]:
    return {word: _number(value, f"{name}.{word}") for word, value in _table(entry, name).items()}


def _number(value: object, name: str, *, least: float = 1e-9) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not least <= value <= 1e9:
        raise SettingError(f'in the settings, "{name}" is {value!r}; it must be a number above 0')
    return float(value)
