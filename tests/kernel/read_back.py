"""What a general-purpose kernel reads from STEP files: faces and area in mm².

    read_back.py FILE…   prints one JSON object {file name: {"faces": n, "area": mm²}}

Kernel: OCCT 7.8 through the PyPI package cadquery-ocp (<7.9; later ones dropped classes used here).
A file the kernel cannot read gives {"error": why}.
"""
import json
import pathlib
import sys

from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Message import Message, Message_Gravity
from OCP.STEPControl import STEPControl_Reader
from OCP.TopAbs import TopAbs_FACE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS


def read(path):
    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        return {"error": "not readable"}
    reader.TransferRoots()
    shape = reader.OneShape()
    if shape is None or shape.IsNull():
        return {"faces": 0, "area": 0.0}
    faces, area = 0, 0.0
    explorer = TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        properties = GProp_GProps()
        # Adaptive, to a millionth: the default takes fixed points and is off by a per mille on trimmed splines.
        BRepGProp.SurfaceProperties_s(TopoDS.Face_s(explorer.Current()), properties, 1e-6)
        faces, area = faces + 1, area + properties.Mass()
        explorer.Next()
    return {"faces": faces, "area": area}


for printer in Message.DefaultMessenger_s().Printers():
    printer.SetTraceLevel(Message_Gravity.Message_Fail)
print(json.dumps({pathlib.Path(name).name: read(name) for name in sys.argv[1:]}, indent=1, sort_keys=True))
