"""A spring swap with its seat left alone, as a command."""

from assistant.cli import main


def test_try_with_seats_alone_says_so_and_answers_otherwise_than_with_the_car_scaled_again(capsys):
    shown = []
    for more in ([], ["--seats-alone"]):
        assert main(["try", "demo", "spring_lr=225", *more]) == 0
        shown.append(" ".join(capsys.readouterr().out.split()))
    says = "Springs swapped, seats left alone: the car is not scaled again, so a stiffer one adds load at its corner."
    assert says not in shown[0]
    assert says in shown[1]
    assert shown[0] != shown[1].replace(says + " ", "")
