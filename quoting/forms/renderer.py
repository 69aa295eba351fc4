"""How forms are drawn: our own templates for form, formset and field, Django's for the controls."""

from typing import Any

from django.forms.renderers import DjangoTemplates
from django.template import loader


class TradeRenderer(DjangoTemplates):
    """`{{ form }}` and `{{ field.as_field_group }}` in the look; a widget may name a template of ours as well."""

    form_template_name = "parts/_form.html"
    formset_template_name = "parts/_formset.html"
    field_template_name = "parts/_field.html"

    def get_template(self, template_name: str) -> Any:
        """Controls come from Django's forms, no installed app; everything else from the project's templates."""
        if template_name.startswith("django/forms/"):
            return super().get_template(template_name)
        return loader.get_template(template_name)
