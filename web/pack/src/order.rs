//! Put a module's functions into an order in which they compress well.
//!
//! A compressor finds what repeats best where it lies close. Functions of one type that begin alike are mostly the same generic code for
//! other types, so they are made neighbours. What a function does is not touched: only the numbers by which functions are called change.

use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{CodeSection, FunctionSection, Module};
use wasmparser::{CodeSectionReader, CustomSectionReader, FunctionBody, FunctionSectionReader, Parser, Payload, TypeRef};

/// A module that cannot be read, or holds what was not expected; the text says what.
#[derive(Debug)]
pub struct OrderError(String);

impl std::fmt::Display for OrderError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the module's functions cannot be put in order: {}", self.0)
    }
}

impl std::error::Error for OrderError {}

impl From<wasmparser::BinaryReaderError> for OrderError {
    fn from(error: wasmparser::BinaryReaderError) -> Self {
        Self(error.to_string())
    }
}

impl From<Error<Self>> for OrderError {
    fn from(error: Error<Self>) -> Self {
        match error {
            Error::UserError(own) => own,
            other => Self(other.to_string()),
        }
    }
}

/// The functions of a module: how many come from outside, then the type and the body of each of its own.
#[derive(Default)]
struct Functions<'a> {
    imported: u32,
    types: Vec<u32>,
    bodies: Vec<FunctionBody<'a>>,
}

/// A module's own functions on their way into another order.
struct Ordered<'a> {
    own: Functions<'a>,
    /// Old places in the new order.
    order: Vec<usize>,
    /// New numbers of functions, by their old ones.
    numbers: Vec<u32>,
}

impl Reencode for Ordered<'_> {
    type Error = OrderError;

    fn function_index(&mut self, old: u32) -> Result<u32, Error<OrderError>> {
        self.numbers.get(old as usize).copied().ok_or_else(|| Error::UserError(OrderError(format!("there is no function {old}"))))
    }

    fn parse_function_section(&mut self, section: &mut FunctionSection, _: FunctionSectionReader<'_>) -> Result<(), Error<OrderError>> {
        self.order.iter().for_each(|&old| _ = section.function(self.own.types[old]));
        Ok(())
    }

    fn parse_code_section(&mut self, section: &mut CodeSection, _: CodeSectionReader<'_>) -> Result<(), Error<OrderError>> {
        (0..self.order.len()).try_for_each(|new| self.parse_function_body(section, self.own.bodies[self.order[new]].clone()))
    }

    fn parse_custom_section(&mut self, _: &mut Module, _: CustomSectionReader<'_>) -> Result<(), Error<OrderError>> {
        Ok(())
    }
}

/// Leaves out which functions are called: their numbers say nothing before they are given anew.
struct Nameless;

impl Reencode for Nameless {
    type Error = OrderError;

    fn function_index(&mut self, _: u32) -> Result<u32, Error<OrderError>> {
        Ok(0)
    }
}

/// The same module with its own functions ordered by type, then by body; custom sections are left out.
///
/// # Errors
/// The bytes are no module.
pub fn by_likeness(wasm: &[u8]) -> Result<Vec<u8>, OrderError> {
    let own = functions(wasm)?;
    let order = order(&own)?;
    let mut numbers: Vec<u32> = (0..own.imported).chain(order.iter().map(|_| 0)).collect();
    for (new, &old) in (own.imported..).zip(&order) {
        numbers[own.imported as usize + old] = new;
    }
    let mut module = Module::new();
    Ordered { own, order, numbers }.parse_core_module(&mut module, Parser::new(0), wasm)?;
    Ok(module.finish())
}

fn functions(wasm: &[u8]) -> Result<Functions<'_>, OrderError> {
    let mut found = Functions::default();
    for payload in Parser::new(0).parse_all(wasm) {
        match payload? {
            Payload::ImportSection(reader) => {
                for import in reader.into_imports() {
                    found.imported += u32::from(matches!(import?.ty, TypeRef::Func(_)));
                }
            }
            Payload::FunctionSection(reader) => found.types = reader.into_iter().collect::<Result<_, _>>()?,
            Payload::CodeSectionEntry(body) => found.bodies.push(body),
            _ => {}
        }
    }
    if found.types.len() == found.bodies.len() {
        Ok(found)
    } else {
        Err(OrderError("types and bodies of functions differ in number".into()))
    }
}

/// Old places in the new order.
fn order(own: &Functions<'_>) -> Result<Vec<usize>, OrderError> {
    let keys = own.bodies.iter().map(nameless).collect::<Result<Vec<_>, _>>()?;
    let mut order: Vec<usize> = (0..own.bodies.len()).collect();
    order.sort_by(|&a, &b| (own.types[a], &keys[a]).cmp(&(own.types[b], &keys[b])));
    Ok(order)
}

/// What of a function is compared.
fn nameless(body: &FunctionBody<'_>) -> Result<Vec<u8>, OrderError> {
    let mut function = Nameless.new_function_with_parsed_locals(body)?;
    let mut operators = body.get_operators_reader()?;
    while !operators.eof() {
        function.instruction(&Nameless.parse_instruction(&mut operators)?);
    }
    Ok(function.into_raw_body())
}

#[cfg(test)]
mod tests {
    use super::*;
    use wasm_encoder::{
        ConstExpr, ElementSection, Elements, ExportKind, ExportSection, Function, ImportSection, Instruction, RefType, StartSection,
        TableSection, TableType, TypeSection, ValType,
    };
    use wasmparser::{ExternalKind, Operator};

    /// One function from outside, and five of its own, the last two of another type; each names itself by its constant. The first is in the
    /// table, the last is what starts it.
    fn module() -> Vec<u8> {
        let mut module = Module::new();
        let mut types = TypeSection::new();
        types.ty().function([], [ValType::I32]);
        types.ty().function([], []);
        module.section(&types);
        let mut imports = ImportSection::new();
        imports.import("a", "b", wasm_encoder::EntityType::Function(0));
        module.section(&imports);
        let mut functions = FunctionSection::new();
        [1, 0, 0, 0, 1].iter().for_each(|&t| _ = functions.function(t));
        module.section(&functions);
        let mut tables = TableSection::new();
        tables.table(TableType { element_type: RefType::FUNCREF, table64: false, minimum: 1, maximum: None, shared: false });
        module.section(&tables);
        let mut exports = ExportSection::new();
        (1..6).for_each(|i| _ = exports.export(&format!("f{i}"), ExportKind::Func, i));
        module.section(&exports);
        module.section(&StartSection { function_index: 5 });
        let mut elements = ElementSection::new();
        elements.active(None, &ConstExpr::i32_const(0), Elements::Functions(vec![1].into()));
        module.section(&elements);
        let mut code = CodeSection::new();
        for (name, calls) in [(1, 2), (90, 0), (20, 4), (55, 3), (7, 1)] {
            let mut function = Function::new([]);
            function.instruction(&Instruction::I32Const(name));
            function.instruction(&Instruction::Drop);
            function.instruction(&Instruction::Call(calls));
            // Those of the second type give nothing back.
            if [1, 7].contains(&name) && calls != 1 {
                function.instruction(&Instruction::Drop);
            }
            function.instruction(&Instruction::End);
            code.function(&function);
        }
        module.section(&code);
        module.finish()
    }

    /// What a module says of its functions, by the constants that name them.
    #[derive(Debug, PartialEq, Default)]
    struct Told {
        /// Each of its own, and what it calls.
        calls: Vec<(i32, i32)>,
        exports: Vec<(String, i32)>,
        table: Vec<i32>,
        start: i32,
    }

    fn told(wasm: &[u8]) -> Told {
        let own = functions(wasm).expect("a module");
        let facts: Vec<(i32, u32)> = own
            .bodies
            .iter()
            .map(|body| {
                let mut fact = (0, 0);
                for operator in body.get_operators_reader().expect("code") {
                    match operator.expect("code") {
                        Operator::I32Const { value } => fact.0 = value,
                        Operator::Call { function_index } => fact.1 = function_index,
                        _ => {}
                    }
                }
                fact
            })
            .collect();
        let name = |index: u32| index.checked_sub(1).map_or(0, |own| facts[own as usize].0);
        let calls = facts.iter().map(|&(own, calls)| (own, name(calls))).collect();
        let mut told = Told { calls, ..Told::default() };
        for payload in Parser::new(0).parse_all(wasm) {
            match payload.expect("a module") {
                Payload::ExportSection(reader) => {
                    for one in reader {
                        let one = one.expect("an export");
                        assert_eq!(one.kind, ExternalKind::Func);
                        told.exports.push((one.name.to_owned(), name(one.index)));
                    }
                }
                Payload::StartSection { func, .. } => told.start = name(func),
                Payload::ElementSection(reader) => {
                    for one in reader {
                        let wasmparser::ElementItems::Functions(items) = one.expect("an element").items else { panic!("functions") };
                        told.table.extend(items.into_iter().map(|one| name(one.expect("an index"))));
                    }
                }
                _ => {}
            }
        }
        told
    }

    #[test]
    fn functions_move_and_all_that_names_them_follows() {
        let before = module();
        let after = by_likeness(&before).expect("a module");
        let (mut was, mut is) = (told(&before), told(&after));
        assert_eq!(is.calls.iter().map(|f| f.0).collect::<Vec<_>>(), [20, 55, 90, 1, 7], "by type, then by body, as its bytes are");
        was.calls.sort_unstable();
        is.calls.sort_unstable();
        assert_eq!(is, was, "each calls what it called, and all else names what it named");
        assert_eq!(after.len(), before.len());
        assert_eq!(by_likeness(&after).expect("a module"), after, "already in order");
    }

    #[test]
    fn what_is_no_module_is_refused() {
        let whole = module();
        // The code comes last: cut anywhere in it, a function is missing.
        for end in whole.len() - 20..whole.len() {
            assert!(by_likeness(&whole[..end]).is_err(), "cut at {end} of {}", whole.len());
        }
        assert!(by_likeness(b"no module").is_err());
    }
}
