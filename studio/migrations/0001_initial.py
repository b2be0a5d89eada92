import django.db.models.deletion
import studio.models.base
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    initial = True

    dependencies = [
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Customer',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('note', models.TextField(blank=True, max_length=2000)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Form',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('kind', models.CharField(max_length=20)),
                ('fired_mm', models.PositiveIntegerField()),
                ('foot', models.CharField(choices=[('mould', 'from the mould'), ('turned', 'turned')], default='mould', max_length=8)),
                ('handle', models.BooleanField(default=False)),
                ('ball_g', models.PositiveIntegerField()),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Kiln',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('stack_mm', models.PositiveIntegerField()),
                ('shelf_mm', models.PositiveIntegerField(default=20)),
                ('shelves', models.PositiveIntegerField()),
                ('load_min', models.PositiveIntegerField(default=60)),
                ('unload_min', models.PositiveIntegerField(default=40)),
                ('shelf_kind', models.CharField(default='590', max_length=8)),
                ('limits', models.JSONField(default=list)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Program',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('stage', models.CharField(choices=[('bisque', 'bisque'), ('glost', 'glost')], max_length=8)),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Studio',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80, unique=True)),
                ('name', models.CharField(max_length=80)),
                ('time_zone', models.CharField(default='Europe/London', max_length=64)),
                ('units', models.CharField(choices=[('metric', 'grams, centimetres, °C'), ('us', 'pounds, inches, °F')], default='metric', max_length=8)),
                ('week', models.CharField(choices=[('damp', 'damp'), ('ordinary', 'ordinary'), ('dry', 'dry')], default='ordinary', max_length=8)),
                ('is_demo', models.BooleanField(default=False)),
                ('next_seq', models.PositiveBigIntegerField(default=1)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('version', models.PositiveIntegerField(default=1)),
            ],
        ),
        migrations.CreateModel(
            name='Command',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('client_id', models.CharField(max_length=80)),
                ('kind', models.CharField(max_length=40)),
                ('payload', models.JSONField()),
                ('recorded_at', models.DateTimeField(null=True)),
                ('sent_at', models.DateTimeField(null=True)),
                ('happened_at', models.DateTimeField()),
                ('arrived_at', models.DateTimeField()),
                ('status', models.PositiveSmallIntegerField()),
                ('answer', models.JSONField()),
                ('user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
        ),
        migrations.CreateModel(
            name='LoginAttempt',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('key', models.CharField(max_length=64)),
                ('at', models.DateTimeField()),
            ],
            options={
                'indexes': [models.Index(fields=['key', 'at'], name='login_attempt_by_key'), models.Index(fields=['at'], name='login_attempt_by_age')],
            },
        ),
        migrations.CreateModel(
            name='Order',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('due', models.DateField()),
                ('weight', models.PositiveSmallIntegerField(choices=[(1, 'ordinary'), (2, 'important'), (3, 'fixed date')], default=1)),
                ('note', models.TextField(blank=True, max_length=2000)),
                ('placed_at', models.DateTimeField()),
                ('cancelled_at', models.DateTimeField(blank=True, null=True)),
                ('closed_at', models.DateTimeField(blank=True, null=True)),
                ('customer', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='orders', to='studio.customer')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Plan',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('start', models.DateTimeField()),
                ('scenario', models.JSONField()),
                ('plan', models.JSONField()),
                ('record_seq', models.PositiveBigIntegerField()),
                ('made_at', models.DateTimeField()),
                ('is_current', models.BooleanField(default=False)),
                ('accepted_at', models.DateTimeField(blank=True, null=True)),
                ('left_at', models.DateTimeField(blank=True, null=True)),
                ('changes', models.JSONField(default=list)),
                ('before', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='studio.plan')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Glaze',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('fixed_min', models.PositiveIntegerField(default=25)),
                ('food_tested', models.BooleanField(default=False)),
                ('programs', models.ManyToManyField(blank=True, related_name='glazes', to='studio.program')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Station',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('kinds', models.JSONField(default=list)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Snapshot',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('happened_at', models.DateTimeField()),
                ('seq', models.PositiveBigIntegerField()),
                ('known_seq', models.PositiveBigIntegerField()),
                ('shape', models.PositiveIntegerField()),
                ('state', models.JSONField()),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='+', to='studio.studio')),
            ],
        ),
        migrations.CreateModel(
            name='Rack',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('use', models.CharField(choices=[('damp', 'damp cupboard'), ('drying', 'drying rack'), ('glazed', 'glazed ware')], max_length=8)),
                ('boards', models.PositiveIntegerField()),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='program',
            name='studio',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio'),
        ),
        migrations.CreateModel(
            name='PlanRun',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('state', models.CharField(choices=[('waiting', 'waiting to start'), ('running', 'being worked on'), ('done', 'done'), ('impossible', 'cannot be done as things stand'), ('stopped', 'stopped'), ('failed', 'broke off')], default='waiting', max_length=12)),
                ('why', models.CharField(blank=True, max_length=40)),
                ('about', models.JSONField(default=dict)),
                ('seconds', models.PositiveIntegerField(default=20)),
                ('asked_at', models.DateTimeField()),
                ('started_at', models.DateTimeField(blank=True, null=True)),
                ('ended_at', models.DateTimeField(blank=True, null=True)),
                ('lease_until', models.DateTimeField(blank=True, null=True)),
                ('heartbeat_at', models.DateTimeField(blank=True, null=True)),
                ('worker', models.CharField(blank=True, max_length=80)),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('stop_wish', models.BooleanField(default=False)),
                ('progress', models.JSONField(default=dict)),
                ('message', models.TextField(blank=True)),
                ('reasons', models.JSONField(default=list)),
                ('asked_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('plan', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='runs', to='studio.plan')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Pin',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('task', models.CharField(max_length=80)),
                ('until', models.DateTimeField(blank=True, null=True)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Person',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('skills', models.JSONField(blank=True, null=True)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='OrderLine',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('qty', models.PositiveIntegerField()),
                ('cancelled_at', models.DateTimeField(blank=True, null=True)),
                ('form', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.form')),
                ('glaze', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.glaze')),
                ('order', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='lines', to='studio.order')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Mould',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('number', models.PositiveIntegerField()),
                ('ready_from', models.DateTimeField()),
                ('uses_before', models.PositiveIntegerField(default=0)),
                ('life', models.PositiveIntegerField(default=90)),
                ('form', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='moulds', to='studio.form')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Member',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('role', models.CharField(choices=[('owner', 'owner'), ('maker', 'maker')], default='maker', max_length=8)),
                ('left_at', models.DateTimeField(blank=True, null=True)),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='memberships', to=settings.AUTH_USER_MODEL)),
                ('person', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='studio.person')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='KilnStart',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('weekday', models.PositiveSmallIntegerField()),
                ('starts', models.TimeField()),
                ('ends', models.TimeField()),
                ('kiln', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='starts', to='studio.kiln')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='KilnProgram',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('fire_min', models.PositiveIntegerField()),
                ('cool_min', models.PositiveIntegerField()),
                ('kwh', models.PositiveIntegerField()),
                ('kiln', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='kiln_programs', to='studio.kiln')),
                ('program', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.program')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='kiln',
            name='studio',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio'),
        ),
        migrations.CreateModel(
            name='Job',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('minutes', models.PositiveIntegerField()),
                ('weekday', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('starts', models.TimeField(blank=True, null=True)),
                ('ends', models.TimeField(blank=True, null=True)),
                ('not_before', models.DateTimeField(blank=True, null=True)),
                ('not_after', models.DateTimeField(blank=True, null=True)),
                ('person', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='studio.person')),
                ('station', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='studio.station')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Invitation',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('token_hash', models.CharField(max_length=64, unique=True)),
                ('role', models.CharField(choices=[('owner', 'owner'), ('maker', 'maker')], default='maker', max_length=8)),
                ('expires_at', models.DateTimeField()),
                ('accepted_at', models.DateTimeField(blank=True, null=True)),
                ('withdrawn_at', models.DateTimeField(blank=True, null=True)),
                ('person', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='studio.person')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='FormTimings',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('valid_from', models.DateTimeField()),
                ('press_s', models.PositiveIntegerField()),
                ('release_s', models.PositiveIntegerField()),
                ('glaze_s', models.PositiveIntegerField()),
                ('finish_s', models.PositiveIntegerField()),
                ('release_after', models.JSONField()),
                ('release_after_covered', models.JSONField(blank=True, null=True)),
                ('mould_rest_min', models.PositiveIntegerField()),
                ('mould_rest_damp_min', models.PositiveIntegerField()),
                ('steps', models.JSONField(default=list)),
                ('dry_min', models.PositiveIntegerField()),
                ('dry_damp_min', models.PositiveIntegerField()),
                ('green_per_board', models.PositiveIntegerField()),
                ('glazed_per_board', models.PositiveIntegerField()),
                ('bisque', models.JSONField()),
                ('glost', models.JSONField()),
                ('glaze_dry_min', models.PositiveIntegerField(default=240)),
                ('loss_making_pct', models.PositiveSmallIntegerField(default=4)),
                ('loss_bisque_pct', models.PositiveSmallIntegerField(default=1)),
                ('loss_glost_pct', models.PositiveSmallIntegerField(default=4)),
                ('form', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='timings', to='studio.form')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='form',
            name='studio',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio'),
        ),
        migrations.CreateModel(
            name='Fact',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('seq', models.PositiveBigIntegerField()),
                ('kind', models.CharField(max_length=40)),
                ('data', models.JSONField()),
                ('task', models.CharField(blank=True, max_length=80)),
                ('happened_at', models.DateTimeField()),
                ('arrived_at', models.DateTimeField()),
                ('command', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='facts', to='studio.command')),
                ('person', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to='studio.person')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='DayOff',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('first', models.DateField()),
                ('last', models.DateField()),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='days_off', to='studio.person')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='customer',
            name='studio',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio'),
        ),
        migrations.CreateModel(
            name='Cast',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('pour_min', models.PositiveIntegerField(default=45)),
                ('lift_after', models.JSONField(default=list)),
                ('lift_min', models.PositiveIntegerField(default=10)),
                ('dry_min', models.PositiveIntegerField(default=11520)),
                ('uses', models.PositiveIntegerField(default=90)),
                ('holds', models.JSONField(default=list)),
                ('cost', models.PositiveIntegerField(default=3)),
                ('required', models.BooleanField(default=False)),
                ('form', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='casts', to='studio.form')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='BlockedTime',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('weekday', models.PositiveSmallIntegerField(blank=True, null=True)),
                ('date', models.DateField(blank=True, null=True)),
                ('starts', models.TimeField()),
                ('ends', models.TimeField()),
                ('kilns', models.ManyToManyField(blank=True, related_name='+', to='studio.kiln')),
                ('people', models.ManyToManyField(blank=True, related_name='+', to='studio.person')),
                ('stations', models.ManyToManyField(blank=True, related_name='+', to='studio.station')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.CreateModel(
            name='Tool',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('retired_at', models.DateTimeField(blank=True, null=True)),
                ('name', models.CharField(max_length=80)),
                ('setup_min', models.PositiveIntegerField(default=25)),
                ('recheck_min', models.PositiveIntegerField(default=5)),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddField(
            model_name='form',
            name='tool',
            field=models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='forms', to='studio.tool'),
        ),
        migrations.CreateModel(
            name='WeeklyHours',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('public_id', models.CharField(default=studio.models.base.new_id, editable=False, max_length=80)),
                ('version', models.PositiveIntegerField(default=1)),
                ('weekday', models.PositiveSmallIntegerField()),
                ('starts', models.TimeField()),
                ('ends', models.TimeField()),
                ('evening', models.BooleanField(default=False)),
                ('person', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='weekly_hours', to='studio.person')),
                ('studio', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to='studio.studio')),
            ],
            options={
                'abstract': False,
            },
        ),
        migrations.AddConstraint(
            model_name='station',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='station_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='rack',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='rack_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='program',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='program_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='planrun',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='planrun_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='planrun',
            constraint=models.UniqueConstraint(condition=models.Q(('state__in', ['waiting', 'running'])), fields=('studio',), name='one_run_at_a_time'),
        ),
        migrations.AddConstraint(
            model_name='plan',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='plan_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='plan',
            constraint=models.UniqueConstraint(condition=models.Q(('is_current', True)), fields=('studio',), name='one_current_plan'),
        ),
        migrations.AddConstraint(
            model_name='pin',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='pin_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='pin',
            constraint=models.UniqueConstraint(fields=('studio', 'task'), name='pin_once'),
        ),
        migrations.AddConstraint(
            model_name='person',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='person_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='orderline',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='orderline_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='orderline',
            constraint=models.CheckConstraint(condition=models.Q(('qty__gte', 1), ('qty__lte', 100000)), name='line_qty'),
        ),
        migrations.AddConstraint(
            model_name='order',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='order_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='mould',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='mould_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='mould',
            constraint=models.UniqueConstraint(fields=('form', 'number'), name='mould_number_in_form'),
        ),
        migrations.AddConstraint(
            model_name='member',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='member_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='member',
            constraint=models.UniqueConstraint(fields=('studio', 'user'), name='one_membership_a_studio'),
        ),
        migrations.AddConstraint(
            model_name='kilnstart',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='kilnstart_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='kilnstart',
            constraint=models.CheckConstraint(condition=models.Q(('ends__gt', models.F('starts'))), name='kiln_start_end_after_start'),
        ),
        migrations.AddConstraint(
            model_name='kilnprogram',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='kilnprogram_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='kilnprogram',
            constraint=models.UniqueConstraint(fields=('kiln', 'program'), name='one_timing_a_kiln_and_program'),
        ),
        migrations.AddConstraint(
            model_name='kiln',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='kiln_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='job',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='job_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='invitation',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='invitation_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='glaze',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='glaze_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='formtimings',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='formtimings_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='formtimings',
            constraint=models.UniqueConstraint(fields=('form', 'valid_from'), name='one_timing_a_form_and_instant'),
        ),
        migrations.AddIndex(
            model_name='fact',
            index=models.Index(fields=['studio', 'happened_at', 'seq'], name='studio_fact_studio__f88be7_idx'),
        ),
        migrations.AddConstraint(
            model_name='fact',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='fact_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='fact',
            constraint=models.UniqueConstraint(fields=('studio', 'seq'), name='fact_seq_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='dayoff',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='dayoff_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='dayoff',
            constraint=models.CheckConstraint(condition=models.Q(('last__gte', models.F('first'))), name='day_off_last_after_first'),
        ),
        migrations.AddConstraint(
            model_name='customer',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='customer_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='command',
            constraint=models.UniqueConstraint(fields=('studio', 'client_id'), name='command_once'),
        ),
        migrations.AddConstraint(
            model_name='cast',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='cast_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='blockedtime',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='blockedtime_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='blockedtime',
            constraint=models.CheckConstraint(condition=models.Q(('weekday__isnull', True), ('date__isnull', True), _connector='XOR'), name='blocked_weekly_or_on_a_date'),
        ),
        migrations.AddConstraint(
            model_name='blockedtime',
            constraint=models.CheckConstraint(condition=models.Q(('ends__gt', models.F('starts'))), name='blocked_end_after_start'),
        ),
        migrations.AddConstraint(
            model_name='tool',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='tool_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='form',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='form_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='weeklyhours',
            constraint=models.UniqueConstraint(fields=('studio', 'public_id'), name='weeklyhours_public_id_in_studio'),
        ),
        migrations.AddConstraint(
            model_name='weeklyhours',
            constraint=models.CheckConstraint(condition=models.Q(('weekday__lte', 6)), name='hours_weekday'),
        ),
        migrations.AddConstraint(
            model_name='weeklyhours',
            constraint=models.CheckConstraint(condition=models.Q(('ends__gt', models.F('starts'))), name='hours_end_after_start'),
        ),
    ]
