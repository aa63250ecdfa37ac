"""A lab of two desks whose services are files, so that a drill can be done on any machine, a busy one too."""

LAB = """\
lab: Two desks
kinds:
  desktop: {is: node}
machines:
  desk-1: desktop
  desk-2: desktop
services:
  web: {on: desk-1}
  mail: {on: desk-2}
probes:
  front page: {asks: command test -e web, sees: web, patience: 20 s}
  mail box: {asks: command test -e mail, sees: mail, patience: 20 s}
drills:
  stop web: {loses: desk-1, do: "echo stopping; rm web", put back: "touch web; echo back >> did", stop after: 20 s}
  by hand: {loses: desk-1}
"""


def laid(folder, text=LAB):
    """The lab in a folder, with both services up."""
    for name in ("web", "mail"):
        (folder / name).touch()
    path = folder / "lab.yaml"
    path.write_text(text)
    return path
