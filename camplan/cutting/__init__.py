"""Chips, forces, power, bending and limits turned into cutting data with reasons.

Takes a cutter, a material, a machine and one cut; gives `CuttingData`.  Never knows a drawing.
"""

from camplan.cutting.answer import speeds as speeds
from camplan.cutting.answer import table_text as table_text
from camplan.cutting.data import cutting_data as cutting_data
from camplan.cutting.records import CutKind as CutKind
from camplan.cutting.records import CuttingData as CuttingData
from camplan.cutting.records import Reason as Reason
