"""One rule set on one document of facts: the ruling with its trace, as JSON. No database."""

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from portal.core.rules import RuleSetFault, evaluate, read_rule_set, ruling_to_dict


class Command(BaseCommand):
    """``manage.py ruling --rules FILE --facts FILE``."""

    help = "Rule on one document of facts by one rule set and print the ruling as JSON."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """The two files, and the language of the words."""
        parser.add_argument("--rules", required=True, type=Path, help="rule set, JSON")
        parser.add_argument("--facts", required=True, type=Path, help="facts, JSON")
        parser.add_argument("--language", default="en", help="language of the words")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read both files, rule, print."""
        try:
            rule_set = read_rule_set(options["rules"])
        except RuleSetFault as fault:
            raise CommandError(f"{options['rules']}: {fault}") from fault
        except (OSError, ValueError) as error:
            raise CommandError(f"{options['rules']} cannot be read: {error}") from error
        try:
            facts = json.loads(options["facts"].read_text(encoding="utf-8"), parse_float=Decimal)
        except (OSError, ValueError) as error:
            raise CommandError(f"{options['facts']} cannot be read: {error}") from error
        ruling = evaluate(rule_set, facts, language=options["language"])
        self.stdout.write(json.dumps(ruling_to_dict(ruling), indent=2, ensure_ascii=False))
