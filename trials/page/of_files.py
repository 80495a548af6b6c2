"""Files in and out: what is handed in is laid out in a folder of its own and read as data; exports are handed over."""

import io
import re
import zipfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from starlette.responses import Response

from trials.changes.reasons import refuse_no_reason
from trials.errors import Problem, Refused
from trials.files.folder import read_folders
from trials.files.place import handed_in
from trials.files.public import public_copy
from trials.files.write import folder_texts, record_json
from trials.keeping.storing import load_sheets, sheets_among, store_all
from trials.page.desk import Desk
from trials.page.sent import Done, Sent, SentFile
from trials.records.keys import CHANGES_FILE, RUNS_FILE, TRIAL_FILE

OF_A_TRIAL = (TRIAL_FILE, RUNS_FILE, CHANGES_FILE)
LONGEST_NAME = 100  # bytes, of 255 that a file system takes
NO_FILE = "No file was handed in; choose a folder or a file first, or paste a text."
PASTED = "pasted text.txt"
NOTHING_TO_READ = "Nothing in that folder is a trial: no trial.toml is in it, nor in a folder of it."


def load_page(desk: Desk, sent: Sent) -> Response:
    """Load trial folders, our own JSON, or filled sheets; every problem is listed, and nothing stored then."""
    return desk.take_or_show(
        sent, lambda: _loaded(desk, sent), lambda problems: desk.show(sent, "load.html", problems=problems)
    )


def _loaded(desk: Desk, sent: Sent) -> Done:
    why = sent.text("why") or None
    if why is not None:
        refuse_no_reason(why)
    pasted = sent.text("text")
    files = (*sent.files, *([SentFile(PASTED, pasted.encode())] if pasted else []))
    if not files:
        raise Refused(NO_FILE)
    with TemporaryDirectory(prefix="samedirt-") as folder, handed_in(Path(folder)):
        names, said = _load(desk, sent, laid_out(files, Path(folder)), why)
    return Done(f"/trial/{names[0]}" if len(names) == 1 else "/", tuple(said))


def _load(desk: Desk, sent: Sent, paths: Sequence[Path], why: str | None) -> tuple[list[str], list[str]]:
    """The names of the trials that were loaded, and what was done with each."""
    sheets = sheets_among(paths)
    stands = bool(sent.text("stands"))
    if not sheets:
        stored = store_all(desk.book, read_folders(paths), why, stands=stands)
        return [one.name for one in stored], [f"{one.name}: {one.words}." for one in stored]
    from trials.sheets.spreadsheet_in import Taking

    done = load_sheets(desk.book, sheets, sent.text("trial") or None, None, Taking(why=why, stands=stands))
    said = [line for one in done for line in (one.words, *(f"{text}." for text in one.said))]
    return list(dict.fromkeys(one.loaded.name for one in done)), said


def laid_out(files: Iterable[SentFile], folder: Path) -> list[Path]:
    """Write what was handed in into an empty folder, under names that lead nowhere else; what is to be loaded.

    Of a folder its trials are taken, and our own JSON, not what lies beside them. Raises Refused: there is nothing.
    """
    places: dict[Path, None] = {}
    origins: dict[str, tuple[str, ...]] = {}  # what a name stands for, whatever its case
    named = [(PurePosixPath(file.name.replace("\\", "/")).parts, file.content) for file in files]
    plans = {parts[:-1] for parts, _ in named if parts and parts[-1] == TRIAL_FILE}
    for parts, content in named:
        name, inside = _harmless(parts[-1] if parts else ""), len(parts) > 1
        if name in OF_A_TRIAL and parts[:-1] in plans:
            own, origin = folder / _harmless(" ".join(parts[:-1]) or "handed in"), ("of a trial", *parts[:-1])
            path = own / name
        elif not inside or name.endswith(".json"):
            own = path = folder / name
            origin = parts
        else:
            continue
        is_new = own.name.casefold() not in origins
        if not is_new and (own is path or origins[own.name.casefold()] != origin):
            raise Refused([Problem(own.name, "was handed in twice", "hand in one of them at a time")])
        origins[own.name.casefold()] = origin
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(content)
        places[own] = None
    if not places:
        raise Refused(NOTHING_TO_READ)
    return list(places)


def _harmless(name: str) -> str:
    """A name as it may be written: letters, digits and a few signs, and never a way to another folder."""
    written = re.sub(r"[^\w .()+-]", "_", name).encode()[-LONGEST_NAME:].decode(errors="ignore")
    return written.strip(" .") or "file"


def export_page(desk: Desk, sent: Sent) -> Response:
    """What can be kept of a trial, and what the copy to show leaves out."""
    record = desk.read(sent.path["name"])
    return desk.show(sent, "export.html", trial=record.trial, public=public_copy(record).words)


def export_file(desk: Desk, sent: Sent) -> Response:
    """A trial as plain files, to keep or to send: its folder in one archive, JSON, or the copy to show."""
    record = desk.read(sent.path["name"])
    name = record.trial.name
    match sent.path["form"]:
        case "folder.zip":
            return _handed_over(f"{name}.zip", _zipped(name, folder_texts(record)), "application/zip")
        case "trial.json":
            return _handed_over(f"{name}.json", record_json(record).encode(), "application/json")
        case "public.zip":
            copy = public_copy(record).record
            own = f"{copy.trial.name}-public"
            return _handed_over(f"{own}.zip", _zipped(own, folder_texts(copy)), "application/zip")
        case other:
            raise Refused(f"{name}: there is no export {other}")


def _zipped(folder: str, texts: Mapping[str, str | bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in texts.items():
            archive.writestr(f"{folder}/{name}", text)
    return out.getvalue()


def _handed_over(name: str, content: bytes, kind: str) -> Response:
    return Response(content, media_type=kind, headers={"content-disposition": f'attachment; filename="{name}"'})
