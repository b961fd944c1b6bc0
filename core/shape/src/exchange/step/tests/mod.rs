//! Whole files: real ones where they are at hand, small ones made here.

mod assembly;
mod damage;
mod looks;
mod loose;
mod real_files;
mod shells;
mod splines;
mod swept;
mod units;
mod wires;

use crate::exchange::{Import, Limits, ReadError, read};
use crate::progress::Silent;

/// A file around the given data section; its first line is line 7.
fn file(data: &str) -> String {
    let head = "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\n";
    format!("{head}{data}\nENDSEC;\nEND-ISO-10303-21;\n")
}

fn open(text: &str) -> Result<Import, ReadError> {
    read(text.as_bytes(), "made.stp", &Limits::default(), &mut Silent)
}

/// Context #1: mm, radian, 1e-6 mm.
const MM: &str = "#2=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));
#3=(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.));
#4=UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.E-6),#2,'','');
#1=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#4))GLOBAL_UNIT_ASSIGNED_CONTEXT((#2,#3))REPRESENTATION_CONTEXT('',''));
";

/// A triangular plane face #10 of edges 3, 5 and 4 long, its right angle at the origin, in shell #11; ids 10 to 43.
const TRIANGLE: &str = "#10=ADVANCED_FACE('tri',(#12),#20,.T.);
#11=OPEN_SHELL('',(#10));
#12=FACE_OUTER_BOUND('',#13,.T.);
#13=EDGE_LOOP('',(#14,#15,#16));
#14=ORIENTED_EDGE('',*,*,#17,.T.);
#15=ORIENTED_EDGE('',*,*,#18,.T.);
#16=ORIENTED_EDGE('',*,*,#19,.F.);
#17=EDGE_CURVE('',#31,#32,#41,.T.);
#18=EDGE_CURVE('',#32,#33,#42,.F.);
#19=EDGE_CURVE('',#31,#33,#43,.T.);
#20=PLANE('',#21);
#21=AXIS2_PLACEMENT_3D('',#22,$,$);
#22=CARTESIAN_POINT('',(0.,0.,0.));
#24=CARTESIAN_POINT('',(3.,0.,0.));
#25=CARTESIAN_POINT('',(0.,4.,0.));
#31=VERTEX_POINT('',#22);
#32=VERTEX_POINT('',#24);
#33=VERTEX_POINT('',#25);
#34=DIRECTION('',(1.,0.,0.));
#35=VECTOR('',#34,2.);
#36=DIRECTION('',(3.,-4.,0.));
#37=VECTOR('',#36,5.);
#38=DIRECTION('',(0.,7.,0.));
#39=VECTOR('',#38,1.);
#41=LINE('',#22,#35);
#42=LINE('',#25,#37);
#43=LINE('',#22,#39);
";
