"""Forms of a restoration system and its steps."""

from __future__ import annotations

from typing import Any

from django import forms

from quoting.core.advice import Approach
from quoting.forms.figures import NumberField
from quoting.forms.rows import RowForm
from quoting.forms.uses import KINDS_OF_USE, whole
from quoting.models import (
    Condition,
    Edition,
    LabourTask,
    Material,
    RestorationSystem,
    Surface,
    SystemStep,
)


class SystemForm(RowForm):
    """The words of a system, and the slabs that it suits."""

    approach = forms.ChoiceField(
        label="Carries out",
        help_text="The approach of the advice that it is; extras carry out none.",
        choices=[("", "none"), *((each.value, each.words) for each in Approach)],
        required=False,
    )
    surfaces = forms.MultipleChoiceField(label="Suits", choices=Surface, widget=forms.CheckboxSelectMultiple)
    conditions = forms.MultipleChoiceField(
        label="On a slab that is", choices=Condition, widget=forms.CheckboxSelectMultiple
    )

    class Meta:
        model = RestorationSystem
        fields = (
            "name", "approach", "surfaces", "conditions", "mends", "does_not_mend", "life", "look", "slip", "warranty",
        )  # fmt: skip
        labels = {"does_not_mend": "Does not mend", "life": "Seal again after", "look": "Looks", "slip": "When wet"}
        help_texts = {"life": ""}
        widgets = {
            "mends": forms.Textarea(attrs={"rows": 2}),
            "does_not_mend": forms.Textarea(attrs={"rows": 2}),
            "warranty": forms.Textarea(attrs={"rows": 4}),
        }


class StepForm(RowForm):
    """One step: its labour, the visit on which it falls, and the wait after it."""

    hours = NumberField(label="Person-hours", required=False, help_text="Where it goes by hours.")
    passes = whole(label="Passes", least=1, most=20)
    visit = whole(label="On visit", least=1, most=30)
    hold_hours = NumberField(label="Then wait, hours", most=2000)

    class Meta:
        model = SystemStep
        fields = ("name", "how", "measure", "task", "hours", "passes", "visit", "hold_hours", "on")
        labels = {"how": "What it is", "measure": "Goes by", "task": "Labour task", "on": "On in a new option"}
        help_texts = {"on": "", "how": "What the homeowner reads about it."}
        widgets = {"how": forms.Textarea(attrs={"rows": 2})}

    def __init__(self, *args: Any, edition: Edition, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        task = self.fields["task"]
        task.queryset = LabourTask.objects.filter(edition=edition)  # type: ignore[attr-defined]
        task.empty_label = "none"  # type: ignore[attr-defined]

    def clean_passes(self) -> int:
        return int(self.cleaned_data["passes"])

    def clean_visit(self) -> int:
        return int(self.cleaned_data["visit"])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        measure, task = cleaned.get("measure"), cleaned.get("task")
        if measure == SystemStep.Measure.HOURS:
            if cleaned.get("hours") is None and "hours" not in self.errors:
                self.add_error("hours", "Say how many person-hours it takes.")
        elif measure and task is None:
            if "task" not in self.errors:
                self.add_error("task", "Choose the task, or let it go by hours.")
        elif measure and not task.goes_by(measure):
            self.add_error("task", f"{task.name} is reckoned in {task.get_unit_display()}: choose another, or measure.")
        return cleaned


class MaterialOfStepForm(forms.Form):
    """A further material for a step, and how it is used up."""

    material = forms.ModelChoiceField(label="Material", queryset=Material.objects.none(), empty_label="choose")
    by = forms.ChoiceField(label="Used up", choices=list(KINDS_OF_USE.items()))

    def __init__(self, *args: Any, edition: Edition, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["material"].queryset = Material.objects.filter(edition=edition)  # type: ignore[attr-defined]
