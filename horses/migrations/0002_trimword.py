import django.db.models.deletion
import horses.models.base
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("horses", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="TrimWord",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "public_id",
                    models.CharField(
                        default=horses.models.base.new_public_id,
                        editable=False,
                        max_length=16,
                        unique=True,
                    ),
                ),
                ("stands", models.BooleanField()),
                ("said_at", models.DateTimeField()),
                (
                    "trim",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="said",
                        to="horses.trim",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "abstract": False,
            },
        ),
    ]
