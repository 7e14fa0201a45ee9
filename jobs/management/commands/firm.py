"""Add a firm and the first person of its office."""

from argparse import ArgumentParser
from getpass import getpass

from django.core.management.base import BaseCommand, CommandError

from jobs.actions.firms import found_firm
from jobs.actions.permission import Refused


class Command(BaseCommand):
    help = "Add a firm with the shipped catalogue, and someone who signs in to its office."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("name", help="the firm's name")
        parser.add_argument("--office", required=True, metavar="USERNAME", help="name to sign in with")

    def handle(self, *, name: str, office: str, **options: object) -> None:
        password = getpass("Password for the office: ")
        if password != getpass("The same again: "):
            raise CommandError("The two passwords differ. Nothing was added.")
        try:
            user = found_firm(details={"name": name}, username=office, password=password)
        except Refused as refusal:
            raise CommandError(f"{refusal} Nothing was added.") from refusal
        self.stdout.write(f"{user.firm} is ready. {office} may sign in.")
