"""Cutters, materials, machines and plastics, read from TOML in ``tooling/``.

Takes names and folders, gives validated records; refuses a file whose figures are missing,
wrong-signed or impossible, naming file and key.  Never decides how anything is cut.
"""

from camplan.catalogue.cutters import Shelf as Shelf
from camplan.catalogue.cutters import load_shelf as load_shelf
from camplan.catalogue.machines import LoadedMachine as LoadedMachine
from camplan.catalogue.machines import load_machine as load_machine
from camplan.catalogue.materials import LoadedMaterial as LoadedMaterial
from camplan.catalogue.materials import load_material as load_material
from camplan.catalogue.plastics import LoadedPlastic as LoadedPlastic
from camplan.catalogue.plastics import load_plastic as load_plastic
from camplan.catalogue.sources import load_sources as load_sources
