"""Five project scheduling instances with 30 activities (and a begin and an end), four resources, and their optimal finish.

Source: Kolisch and Sprecher 1996, "PSPLIB – A project scheduling problem library", European Journal of Operational
Research 96, set J30, in the format of Patterson 1984; numbers of the instances and optima as published with the
experiments of PyJobShop.
"""

from jobs.core.planning.classic import Project

TEXTS = {
    ("J30_1", 43): """
32 4
12 13 4 12
0 0 0 0 0 3 2 3 4
8 4 0 0 0 3 6 11 15
4 10 0 0 0 3 7 8 13
6 0 0 0 3 3 5 9 10
3 3 0 0 0 1 20
8 0 0 0 8 1 30
5 4 0 0 0 1 27
9 0 1 0 0 3 12 19 27
2 6 0 0 0 1 14
7 0 0 0 1 2 16 25
9 0 5 0 0 2 20 26
2 0 7 0 0 1 14
6 4 0 0 0 2 17 18
3 0 8 0 0 1 17
9 3 0 0 0 1 25
10 0 0 0 5 2 21 22
6 0 0 0 8 1 22
5 0 0 0 7 2 20 22
3 0 1 0 0 2 24 29
7 0 10 0 0 2 23 25
2 0 0 0 6 1 28
7 2 0 0 0 1 23
2 3 0 0 0 1 24
3 0 9 0 0 1 30
3 4 0 0 0 1 30
7 0 0 4 0 1 31
8 0 0 0 7 1 28
3 0 8 0 0 1 31
7 0 7 0 0 1 32
2 0 7 0 0 1 32
2 0 0 2 0 1 32
0 0 0 0 0 0
""",
    ("J30_84", 71): """
32 4
14 14 15 16
0 0 0 0 0 3 2 3 4
10 0 6 0 10 1 7
4 1 8 7 3 3 6 13 14
5 1 4 10 6 3 5 8 9
6 4 5 7 3 2 20 27
2 5 4 0 0 3 15 21 28
9 10 7 10 1 3 10 11 12
5 6 0 5 7 3 16 19 29
8 4 0 3 3 2 23 25
4 1 7 9 6 1 15
2 4 5 0 5 1 17
1 0 0 9 0 1 21
4 0 4 5 8 1 17
7 5 10 10 10 1 27
4 0 0 8 8 2 22 24
5 3 0 0 1 1 28
10 7 0 5 8 1 18
1 6 3 9 8 1 24
5 0 0 6 0 1 26
2 10 8 0 2 2 24 26
6 3 4 6 10 1 25
9 3 0 3 4 1 30
2 0 1 1 4 1 28
4 0 0 8 2 1 30
10 0 6 10 9 1 27
9 4 1 4 4 1 31
9 6 5 5 6 1 31
7 1 0 2 4 2 30 31
7 4 9 0 0 1 32
1 8 7 0 9 1 32
7 10 4 4 9 1 32
0 0 0 0 0 0
""",
    ("J30_249", 84): """
32 4
14 12 14 13
0 0 0 0 0 3 2 3 4
1 6 1 0 9 1 9
7 2 2 8 7 3 6 18 23
6 0 0 4 10 2 5 12
7 9 4 3 4 3 8 10 11
4 0 0 1 8 1 7
10 0 1 2 2 2 12 30
4 7 2 4 5 3 15 20 28
6 1 1 5 3 2 11 13
9 0 8 1 5 3 13 16 20
6 5 1 1 4 2 14 22
9 0 10 1 9 1 25
4 3 0 5 2 3 14 17 19
8 4 1 7 1 3 18 27 29
7 5 2 0 3 2 18 22
3 5 4 10 8 3 17 25 26
2 1 2 0 7 2 21 24
8 8 1 9 1 1 30
1 0 6 4 0 3 21 24 25
1 2 1 6 3 1 31
8 7 0 10 0 1 29
6 0 1 10 6 2 23 26
4 3 10 2 0 2 24 27
6 8 6 5 1 1 30
2 10 0 9 0 2 28 31
9 0 1 0 10 1 27
6 10 0 0 4 1 31
10 5 0 0 0 1 29
8 9 3 8 0 1 32
7 0 10 9 0 1 32
4 5 8 8 1 1 32
0 0 0 0 0 0
""",
    ("J30_281", 85): """
32 4
15 16 16 15
0 0 0 0 0 3 2 3 4
9 1 6 2 3 3 7 19 30
4 5 2 10 6 2 6 12
9 2 3 3 9 3 5 9 20
8 6 4 7 1 3 10 17 23
4 2 6 8 9 3 13 14 20
2 7 7 5 6 1 8
4 9 6 9 10 3 11 15 25
2 8 5 2 6 3 14 15 24
4 1 4 1 10 3 16 18 29
7 9 9 8 9 3 16 20 21
5 5 5 3 5 2 26 30
10 5 7 3 2 1 27
5 4 7 6 4 1 17
2 4 2 2 10 3 21 22 23
9 5 6 9 9 2 22 24
10 8 8 5 5 1 31
3 1 9 3 7 3 21 22 24
9 3 3 7 3 3 25 26 29
10 8 10 6 10 1 29
6 7 4 4 4 1 31
8 1 3 1 7 1 26
9 6 4 8 1 1 28
1 10 7 10 4 1 27
1 6 7 1 7 1 28
6 7 4 8 10 1 27
9 10 9 6 10 1 28
6 7 8 3 1 1 31
3 2 1 9 7 1 32
10 2 5 6 1 1 32
2 5 5 2 8 1 32
0 0 0 0 0 0
""",
    ("J30_401", 86): """
32 4
13 12 15 13
0 0 0 0 0 3 2 3 4
3 3 6 0 7 3 5 6 7
5 8 6 0 2 3 13 16 21
8 10 0 10 3 3 8 10 20
5 0 6 6 0 3 9 11 12
3 0 1 4 1 3 8 22 25
5 7 7 7 10 3 9 14 15
3 9 3 9 3 2 11 28
10 0 1 7 2 3 17 20 24
6 0 7 5 2 3 12 15 21
7 6 1 2 6 3 13 14 15
8 3 3 4 0 3 16 18 29
7 5 7 5 7 2 17 19
1 5 2 0 2 3 19 23 26
8 0 0 1 8 3 17 18 24
4 0 9 0 2 2 22 24
6 1 2 0 6 2 23 27
3 2 0 10 0 1 19
9 0 8 10 0 1 30
6 3 0 2 10 2 21 22
5 9 7 8 8 3 23 25 26
6 9 0 7 0 1 31
7 2 6 0 3 2 29 31
3 5 0 8 1 2 26 30
9 2 0 8 0 3 27 28 30
10 2 8 1 0 1 27
6 1 0 5 7 1 31
2 10 3 6 5 1 29
9 5 2 10 8 1 32
1 5 9 8 5 1 32
5 7 0 6 7 1 32
0 0 0 0 0 0
""",
}
"""Instances by name and optimum. First activities and resources, then capacities, then for each activity its duration,
its demands, how many follow it, and which, counted from 1."""


def read(text: str) -> Project:
    numbers = iter([int(number) for number in text.split()])
    activities, resources = next(numbers), next(numbers)
    capacities = tuple(next(numbers) for _ in range(resources))
    durations, demands, successors = [], [], []
    for _ in range(activities):
        durations.append(next(numbers))
        demands.append(tuple(next(numbers) for _ in range(resources)))
        successors.append(tuple(next(numbers) - 1 for _ in range(next(numbers))))
    return Project(tuple(durations), tuple(demands), tuple(successors), capacities)


J30 = [(name, optimum, read(text)) for (name, optimum), text in TEXTS.items()]
