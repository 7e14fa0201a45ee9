"""The connection: before a query, its session is told which firm is named, if it was told otherwise before.

So nothing is sent for requests that name no firm or ask nothing more once they did, and no request depends on another
having tidied up. A rollback takes back what was told since, and a new or pooled session may have heard anything: after
both, it is told again.
"""

from collections.abc import Callable
from typing import Any

from django.db.backends.postgresql import base
from psycopg.pq import TransactionStatus

from rewire.named_firm import named_firm

SETTING = "rewire.firm"
UNKNOWN = object()


class DatabaseWrapper(base.DatabaseWrapper):
    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._told: object = UNKNOWN
        self.execute_wrappers.append(self._tell_first)

    def get_new_connection(self, conn_params: dict[str, Any]) -> Any:
        self._told = UNKNOWN
        return super().get_new_connection(conn_params)

    def _rollback(self) -> None:
        self._told = UNKNOWN
        super()._rollback()

    def _savepoint_rollback(self, sid: str) -> None:
        super()._savepoint_rollback(sid)
        self._told = UNKNOWN

    def _tell_first(self, execute: Callable[..., Any], *query: Any) -> Any:
        if self._told != named_firm() and not self._takes_nothing():
            self._tell(named_firm())
        return execute(*query)

    def _takes_nothing(self) -> bool:
        """After an error within a transaction, until it is rolled back."""
        return self.connection.pgconn.transaction_status == TransactionStatus.INERROR

    def _tell(self, firm_pk: int | None) -> None:
        with self.wrap_database_errors:
            self.connection.execute("SELECT set_config(%s, %s, false)", [SETTING, "" if firm_pk is None else str(firm_pk)])
        self._told = firm_pk
