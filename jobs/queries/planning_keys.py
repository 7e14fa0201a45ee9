"""The planner's keys of stored rows: "package:12", "visit:3", "person:4"."""


def package_key(pk: int) -> str:
    return f"package:{pk}"


def visit_key(pk: int) -> str:
    return f"visit:{pk}"


def person_key(pk: int) -> str:
    return f"person:{pk}"


def job_key(pk: int) -> str:
    return f"job:{pk}"


def area_key(pk: int) -> str:
    return f"area:{pk}"


def pin_key(pk: int) -> str:
    return f"pin:{pk}"


def pk_of(key: str) -> int:
    return int(key.rpartition(":")[2])


def is_package(key: str) -> bool:
    return key.startswith("package:")


def is_visit(key: str) -> bool:
    return key.startswith("visit:")
