"""What a person writes, on its way to being a `Scenario`. `reading.py` is the door; this is the order behind it.

1. `keys/syntax.py`      text to TOML
2. `short/short.py`      a short form (`table.py`) becomes a full one, still text (`longhand.py`, `hands.py`,
                         `toml_page.py`; presets: `presets.toml`), with what that takes for granted (`granted.py`)
3. `keys/tables.py`      what each key may hold, table by table (`crew.py`: people, pumps, devices; `stages.py`: how
                         it is called, in what order; `quantities.py`: "5 in")
4. `choices.py`          which keys of one table go together
5. `names.py`            whether a name that one table uses of another leads anywhere (`people.py`: who works what)
6. `building.py`         from what was written to frozen data (`building_places.py`); what was assumed
7. `stages.py`           whether each stage leads on from the one before it
   `geometry.py`         whether that geometry can make the lift at all, `work.py` in how much work

What is wrong is said with its place (`keys/places.py`) in words that its writer knows (`keys/wording.py`): 3, 4 and 5
say all they find together, 6 and 7 only look at what came through.
"""
