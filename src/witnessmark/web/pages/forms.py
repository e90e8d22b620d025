"""How forms look: labels above, help below, errors in words, all with our own templates."""

from django.forms.renderers import TemplatesSetting


class PaperRenderer(TemplatesSetting):
    """Fields and errors as templates/forms lays them out."""

    form_template_name = "forms/form.html"
    field_template_name = "forms/field.html"
